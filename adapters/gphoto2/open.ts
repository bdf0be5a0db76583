import {
  type Camera,
  CameraFault,
  type CameraStatus,
  type ExposeRequest,
  type FrameOnCamera,
} from '../../shared/camera.js';
import type {Clock} from '../../shared/clock.js';
import type {Exposure} from '../../shared/exposure.js';
import {steadyClock} from './clock.js';
import {longestShutter, type Readings, readDials, turn, turnToBulb} from './dials.js';
import {
  closeShutter,
  type Exposed,
  type Held,
  type Plan,
  prepareExposure,
  takeExposure,
  USUAL_WRITING_MS,
} from './exposing.js';
import {driveFocus, lockFocus} from './focus.js';
import {createFrames} from './frames.js';
import type {CameraEvent, CardFile} from './messages.js';
import {parsePort} from './port.js';
import {pullFrame} from './pulling.js';
import {createReader} from './reader.js';
import {createSession} from './session.js';
import {mayBulb} from './status.js';
import {createWatchers} from './watchers.js';

export type Gphoto2Options = {
  /** 'auto' (the first camera on USB), 'usb:001,004', or 'ip:HOST[:PORT]'. */
  port: string;
  /** Lines for whoever looks for a fault: what the library's process says. */
  log?(line: string): void;
  /** What exposures are counted on. */
  clock?: Clock;
  /** Added to the environment of the library's process. */
  environment?: Record<string, string>;
  /** File names of the library and of its port part, instead of the usual ones. */
  libraries?: [string, string][];
  /** How long after an exposure its files may still come, milliseconds. */
  writingMs?: number;
  /** How often the camera is looked at while nothing happens, milliseconds. */
  lookEveryMs?: number;
};

const CLOCK_SLACK_SECONDS = 2;
const CLOSE_LIMIT_MS = 4000;
/** What was prepared holds for so long: somebody may turn a dial. */
const ARMED_FOR_MS = 10_000;

const kindsOf = (frames: readonly FrameOnCamera[]): CameraStatus['format'] => {
  const kinds = new Set(frames.map(frame => frame.kind));
  if (kinds.has('raw')) return kinds.has('jpeg') ? 'raw+jpeg' : 'raw';
  return kinds.has('jpeg') ? 'jpeg' : 'other';
};

const bulbRemark = (asked: number, exposed: Exposed): string | null => {
  if (exposed.bulbSeconds === null) return null;
  const off = exposed.bulbSeconds - asked;
  if (Math.abs(off) < Math.max(0.1, asked * 0.02)) return null;
  return `The last exposure was held open for ${exposed.bulbSeconds.toFixed(1)} s; ${asked} s was asked for.`;
};

const DARK_FRAME_REMARK =
  'The camera takes a dark frame of its own after each exposure; turn its long-exposure noise reduction off to halve the wait.';

/** The camera that libgphoto2 drives, with what the process that holds the library is called. */
export type Gphoto2Camera = Camera & {
  /** The process that holds the library; undefined while there is none. */
  readonly libraryPid: number | undefined;
};

/**
 * Connects to a camera through libgphoto2. Once it is there, it is looked for again whenever contact is lost.
 * @throws CameraFault `gone`, `asleep`, `busy`, or `unable` where the library is missing
 */
export const openGphoto2 = async (options: Gphoto2Options): Promise<Gphoto2Camera> => {
  const log = options.log ?? (() => undefined);
  const clock = options.clock ?? steadyClock;
  const frames = createFrames();
  const listeners = new Set<(event: CameraEvent) => void>();
  const returned = new Set<string>();
  /** When the camera named each file, by our clock. */
  const seen = new Map<string, number>();
  let lost = new AbortController();
  let exposing: Promise<unknown> | null = null;
  let leftOpen: Held | null = null;
  let armed: {seconds: number; plan: Promise<Plan>; untilMs: number} | null = null;

  const keyOf = (file: {folder: string; name: string}): string => `${file.folder}\n${file.name}`;

  const session = createSession({
    port: parsePort(options.port),
    log,
    environment: options.environment ?? {},
    ...(options.libraries === undefined ? {} : {libraries: options.libraries}),
    onEvent: event => {
      if (event.event === 'file') seen.set(keyOf(event.file), Date.now());
      for (const listener of [...listeners]) listener(event);
      if (exposing === null && event.event === 'other') watchers.lookSoon();
    },
    onLost: fault => {
      armed = null;
      reader.forget();
      lost.abort(fault);
      lost = new AbortController();
      watchers.tellFault(fault);
    },
  });
  const reader = createReader(session);
  const watchers = createWatchers({
    everyMs: options.lookEveryMs ?? 2000,
    // A look at the camera just before the release would make it wait.
    isBusy: () => exposing !== null || (armed !== null && performance.now() < armed.untilMs),
    isConnected: () => session.connected,
    look: async () => {
      const held = leftOpen;
      if (held !== null) {
        await session.ready();
        leftOpen = null;
        await closeShutter(session, held).catch((fault: unknown) =>
          log(`The shutter may still be open: ${String(fault)}`),
        );
      }
      return reader.read();
    },
  });

  const status = async (): Promise<CameraStatus> => {
    const last = reader.last;
    // A body may not answer while its shutter is open.
    if (exposing !== null && last !== null) return last;
    armed = null;
    return watchers.tell(await reader.read());
  };

  const checkFree = (): void => {
    if (exposing !== null) throw new CameraFault('busy', 'The camera is exposing; wait until the shutter is closed.');
  };

  const setShutter = async (readings: Readings, seconds: number): Promise<void> => {
    const longest = longestShutter(readings);
    if (longest === null || seconds <= longest * 1.1) {
      await turn(session, readings, 'shutterSeconds', seconds);
      reader.holdBulb(null);
      return;
    }
    if (!mayBulb(await session.ready())) {
      await turn(session, readings, 'shutterSeconds', seconds);
      return;
    }
    await turnToBulb(session, readings);
    reader.holdBulb(seconds);
  };

  /** How this exposure is to be made, as it was prepared in the countdown or else now. */
  const planFor = async (seconds: number): Promise<Plan> => {
    const ready = armed;
    armed = null;
    if (ready === null || ready.seconds !== seconds || performance.now() > ready.untilMs) {
      return prepareExposure(session, seconds);
    }
    return ready.plan.catch(() => prepareExposure(session, seconds));
  };

  const expose = async (request: ExposeRequest): Promise<FrameOnCamera[]> => {
    const exposed = await takeExposure(request, await planFor(request.seconds), reader.expected, {
      session,
      clock,
      lost: lost.signal,
      writingMs: options.writingMs ?? USUAL_WRITING_MS,
      log,
      leftOpen: held => {
        leftOpen = held;
      },
      listen: listener => {
        listeners.add(listener);
        return () => listeners.delete(listener);
      },
    });
    for (const file of exposed.files) returned.add(keyOf(file));
    const made = exposed.files.map(frames.frameOf);
    reader.learn(kindsOf(made), [
      bulbRemark(request.seconds, exposed),
      exposed.tookDarkFrame ? DARK_FRAME_REMARK : null,
    ]);
    return made;
  };

  const {identity} = await session.ready().catch(async (fault: unknown) => {
    await session.close();
    throw fault;
  });
  watchers.begin();

  return {
    identity,
    get libraryPid() {
      return session.pid;
    },
    status,
    watch: watchers.add,

    async set(change: Partial<Exposure>) {
      checkFree();
      armed = null;
      const readings = await readDials(session, ['shutter', 'aperture', 'iso']);
      if (change.shutterSeconds !== undefined) await setShutter(readings, change.shutterSeconds);
      if (change.fNumber !== undefined) await turn(session, readings, 'fNumber', change.fNumber);
      if (change.iso !== undefined) await turn(session, readings, 'iso', change.iso);
      return status();
    },

    async focus(step) {
      checkFree();
      const readings = await readDials(session, ['focusMode', 'focusDrive', 'focusLock', 'focusAtRelease']);
      if (step === 'drive') {
        await driveFocus(session, readings);
        reader.holdFocus(false);
      } else reader.holdFocus(!(await lockFocus(session, readings)).shown);
      return status();
    },

    async arm(seconds) {
      checkFree();
      const plan = prepareExposure(session, seconds);
      armed = {seconds, plan, untilMs: performance.now() + ARMED_FOR_MS};
      await plan;
    },

    async expose(request) {
      checkFree();
      if (!(request.seconds > 0)) throw new CameraFault('refused', 'An exposure must take longer than no time at all.');
      if (request.signal.aborted) return [];
      const running = expose(request);
      exposing = running.catch(() => undefined);
      try {
        return await running;
      } finally {
        exposing = null;
        watchers.lookSoon();
      }
    },

    pull: (frame, path, progress, signal) => pullFrame(session, frames, frame, path, progress, signal),

    async strays(sinceMs) {
      checkFree();
      await session.renew();
      const {files} = await session.ask<'list'>({do: 'list'}, 'list its card');
      const ahead = reader.last?.clockDifferenceSeconds ?? 0;
      const earliest = sinceMs / 1000 - CLOCK_SLACK_SECONDS;
      const isRecent = (file: CardFile): boolean => {
        const namedAtMs = seen.get(keyOf(file));
        if (namedAtMs !== undefined) return namedAtMs >= sinceMs;
        return file.madeAtSeconds !== null && file.madeAtSeconds - ahead >= earliest;
      };
      return files.filter(file => !returned.has(keyOf(file)) && isRecent(file)).map(frames.frameOf);
    },

    async close() {
      watchers.end();
      lost.abort(new CameraFault('gone', 'The camera was let go of; connect to it again.'));
      // A shutter that is held open is let go of first.
      const limit = new Promise(resolve => setTimeout(resolve, CLOSE_LIMIT_MS).unref());
      if (exposing !== null) await Promise.race([exposing, limit]);
      await session.close();
    },
  };
};
