import {performance} from 'node:perf_hooks';
import {type Camera, CameraFault, type FrameOnCamera} from '../../shared/camera.js';
import type {CueName, CueSheet} from '../../shared/cues.js';
import type {ShootFile} from '../../shared/journal.js';
import {plainText} from '../../shared/plain-text.js';
import type {Rig} from '../../shared/rig.js';
import type {Arrangement, ObedientRoom} from '../../shared/room.js';
import type {Sound} from '../../shared/sound.js';
import {type Timekeeper, waitAwake} from './cue-clock.js';
import {JournalFault} from './journal.js';
import {pullFrame} from './pull.js';
import type {Activity, Subject} from './state.js';
import {joinSignals, untilAborted} from './stopping.js';

/** What an exposure of any kind (attempt, plate, probe) is made with. */
export type Exposing = {
  camera: Camera;
  sound: Sound;
  time: Timekeeper;
  /** A room that arranges itself; null in a real one, where the person is told. */
  room: ObedientRoom | null;
  shootFolder: string;
  /**
   * Whether a person opens the shutter on the camera and it only delivers files. Known before the countdown: asking the
   * camera at its end would make the opening late.
   */
  byHand: boolean;
  show(activity: Activity): void;
};

/** `stop`: the first word to stop; ends a wait or the exposure. `now`: the second; also gives up the pull that follows. */
export type StopSignals = {stop: AbortSignal; now: AbortSignal};

/** A countdown that has run to its end, and whose cues go on through the exposure. */
export type RunningCues = {
  opensAtMs: number;
  /** asleepMs when it began. */
  awakeSince: number;
  /** Called for every cue from now on. */
  onCue(listener: (cue: CueName) => void): void;
  lastCue(): CueName | null;
  /** Tells no more cues; what is still to be heard, such as the closing tone, is heard. */
  leave(): void;
  /** Silences the stream and tells no more cues. */
  end(): void;
};

/** Shows that a countdown is about to begin, while its sound is still being made. */
export const announce = ({time, show}: Exposing, subject: Subject, sheet: CueSheet): void =>
  show({kind: 'countdown', subject, opensAtMs: time.clock.now() + sheet.countdownSeconds * 1000, cue: null});

/** How long before the opening the camera is told to get ready, on the shoot's clock. */
const ARM_AHEAD_MS = 3000;

/** Lets the camera get ready towards the end of a countdown. What goes wrong then, the exposure itself tells. */
const armAhead = async ({camera, time}: Exposing, seconds: number, opensAtMs: number, ended: AbortSignal) => {
  await time.clock.until(opensAtMs - ARM_AHEAD_MS, ended);
  await camera.arm?.(seconds);
};

/**
 * Counts down aloud to the opening: one prepared stream for countdown and cues, so that they keep their distances.
 * @param seconds length of the exposure at its end; null where none comes
 * @returns at the moment of opening, with the cues still running
 * @throws the stop's reason, or SleptFault
 */
export const countDown = async (
  kit: Exposing,
  subject: Subject,
  sheet: CueSheet,
  seconds: number | null,
  stop: AbortSignal,
): Promise<RunningCues> => {
  const {sound, time, show} = kit;
  stop.throwIfAborted();
  announce(kit, subject, sheet);
  const stream = await untilAborted(sound.prepare(sheet), stop).catch(error => {
    if (stop.aborted) throw error;
    // Without its stream a countdown is still shown; the sound's own state says what is wrong.
    return null;
  });
  const awakeSince = time.asleepMs();
  const handle = stream?.start() ?? null;
  const beganMs = handle ? onShootClock(time, handle.startedAtMs) : time.clock.now();
  const opensAtMs = beganMs + sheet.countdownSeconds * 1000;

  const ended = new AbortController();
  let cue: CueName | null = null;
  let listener = (_: CueName): void => show({kind: 'countdown', subject, opensAtMs, cue});
  show({kind: 'countdown', subject, opensAtMs, cue});
  const inOrder = [...sheet.cues].sort((one, other) => one.atSeconds - other.atSeconds);
  const callCues = async (): Promise<void> => {
    for (const {name, atSeconds} of inOrder) {
      await time.clock.until(opensAtMs + atSeconds * 1000, ended.signal);
      cue = name;
      listener(name);
    }
  };
  const leave = (): void => ended.abort();
  const end = (): void => {
    handle?.stop();
    leave();
  };
  callCues().catch(() => undefined);
  if (seconds !== null) armAhead(kit, seconds, opensAtMs, ended.signal).catch(() => undefined);
  try {
    await waitAwake(time, opensAtMs, awakeSince, stop);
  } catch (error) {
    end();
    throw error;
  }
  return {
    opensAtMs,
    awakeSince,
    onCue(next) {
      listener = next;
    },
    lastCue: () => cue,
    leave,
    end,
  };
};

/** A moment of the machine's own monotonic clock on the shoot's, which may run faster. */
const onShootClock = ({clock, speed}: Timekeeper, performanceMs: number): number => {
  const agoMs = performance.now() - performanceMs;
  // A stream that claims to have begun long ago or far ahead is not believed.
  return clock.now() - (Math.abs(agoMs) < 2000 ? agoMs : 0) * speed;
};

export type Exposed = {
  frames: FrameOnCamera[];
  /** Why the exposure was cut short; null when it ran its time. */
  cutShort: unknown;
};

/** How long over its time an exposure may take until the camera counts as stuck; simulated seconds where time is fast. */
const STUCK_AFTER_SECONDS = 60;
/** The same after a stop. */
const STUCK_AFTER_STOP_SECONDS = 20;

/**
 * Opens the shutter, runs the cues through, closes. A stop, or a sleep of the machine, closes it early; the frames that
 * exist are returned all the same.
 * @param on what to do at the opening and closing, at once
 * @throws CameraFault
 */
export const openShutter = async (
  {camera, time, byHand, show}: Exposing,
  subject: Subject,
  seconds: number,
  cues: RunningCues,
  stop: AbortSignal,
  on: {opened(): void; closed(openSeconds: number): void},
): Promise<Exposed> => {
  const {clock} = time;
  const ending = joinSignals(stop);
  ending.signal.addEventListener('abort', cues.end, {once: true});
  const watched = new AbortController();
  let openedAtMs: number | null = null;
  let closed = false;

  const showOpen = (): void => {
    if (openedAtMs !== null && !closed) show({kind: 'open', subject, openedAtMs, seconds, cue: cues.lastCue()});
  };
  const close = (): void => {
    if (openedAtMs === null || closed) return;
    closed = true;
    on.closed(Math.round(clock.now() - openedAtMs) / 1000);
    if (byHand) show({kind: 'waiting for a file', subject, say: 'The file is awaited from the camera.'});
  };
  cues.onCue(showOpen);
  if (!byHand) watchAwake(time, cues, seconds, ending.abort, watched.signal);

  try {
    const exposing = camera.expose({
      seconds,
      signal: ending.signal,
      onOpen() {
        openedAtMs = clock.now();
        on.opened();
        showOpen();
      },
      onClose: close,
    });
    const frames = await (byHand ? exposing : notStuck(exposing, time, seconds, ending.signal, watched.signal));
    close();
    cues.leave();
    return {frames, cutShort: ending.signal.aborted ? ending.signal.reason : null};
  } catch (error) {
    cues.end();
    throw error;
  } finally {
    ending.release();
    watched.abort();
  }
};

/** Ends the exposure when the machine slept through some of it. */
const watchAwake = (
  time: Timekeeper,
  cues: RunningCues,
  seconds: number,
  end: (reason: unknown) => void,
  over: AbortSignal,
): void => {
  waitAwake(time, cues.opensAtMs + seconds * 1000, cues.awakeSince, over).catch(error => {
    if (!over.aborted) end(error);
  });
};

/** Gives up on a camera that neither ends the exposure nor says why. */
const notStuck = async <Result>(
  exposing: Promise<Result>,
  {clock, speed}: Timekeeper,
  seconds: number,
  ending: AbortSignal,
  over: AbortSignal,
): Promise<Result> => {
  const deadline = async (): Promise<never> => {
    // A sped-up room still needs real time to make its frame.
    const fullMs = clock.now() + (seconds + STUCK_AFTER_SECONDS * speed) * 1000;
    const either = joinSignals(ending, over);
    await clock.until(fullMs, either.signal).catch(() => undefined);
    either.release();
    if (!over.aborted) {
      await clock
        .until(Math.min(fullMs, clock.now() + STUCK_AFTER_STOP_SECONDS * 1000 * speed), over)
        .catch(() => undefined);
    }
    throw new CameraFault('gone', 'The camera does not answer any more; switch it off and on.');
  };
  return Promise.race([exposing, deadline()]);
};

/**
 * Pulls every file of an exposure, JPEG first, telling of each as soon as it is whole.
 * @returns what to say about files that could not be pulled; they are still on the camera
 * @throws when no file at all came through, or when stopped
 */
export const pullAll = async (
  {camera, shootFolder, show}: Pick<Exposing, 'camera' | 'shootFolder' | 'show'>,
  subject: Subject,
  frames: FrameOnCamera[],
  {into, name, known}: {into: string; name?: (frame: FrameOnCamera) => string; known: ReadonlySet<string>},
  signal: AbortSignal,
  onFile: (file: ShootFile) => Promise<void>,
): Promise<unknown[]> => {
  const troubles: unknown[] = [];
  for (const frame of jpegFirst(frames)) {
    signal.throwIfAborted();
    const file = plainText(frame.name).slice(0, 120).toWellFormed();
    show({kind: 'pulling', subject, file, bytes: 0, total: frame.bytes ?? 0});
    try {
      const pulled = await pullFrame({
        camera,
        frame,
        shootFolder,
        into,
        known,
        ...(name && {name: name(frame)}),
        progress: (bytes, total) => show({kind: 'pulling', subject, file, bytes, total}),
        signal,
      });
      await onFile(pulled);
    } catch (error) {
      if (signal.aborted) throw signal.reason;
      if (error instanceof JournalFault) throw error;
      troubles.push(error);
    }
  }
  if (troubles.length > 0 && troubles.length === frames.length) throw troubles[0];
  return troubles;
};

const order = {jpeg: 0, raw: 1, other: 2} as const;
const jpegFirst = (frames: FrameOnCamera[]): FrameOnCamera[] =>
  [...frames].sort((one, other) => order[one.kind] - order[other.kind]);

/** The arrangement for the next exposure, in a room that arranges itself. */
export const arrangement = (
  rig: Rig,
  cues: CueSheet,
  {firing, sitter, painting}: {firing: 'all' | string[]; sitter: boolean; painting: boolean},
): Arrangement => ({
  rig,
  firing: firing === 'all' ? rig.lights.filter(light => light.on).map(light => light.id) : firing,
  roomLights: false,
  sitter,
  painting,
  cues,
});
