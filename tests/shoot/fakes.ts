import {mkdtemp, rm} from 'node:fs/promises';
import {tmpdir} from 'node:os';
import path from 'node:path';
import type {Clock} from '../../shared/clock.js';
import type {Measurement} from '../../shared/reading.js';
import type {Arrangement, ObedientRoom} from '../../shared/room.js';
import type {Sound} from '../../shared/sound.js';
import type {Measurer} from '../../src/frame/measurer.js';
import type {Judge} from '../../src/judge/contract.js';
import {fastClock} from '../../src/shoot/cue-clock.js';
import {openSession, type SessionDeps} from '../../src/shoot/session.js';
import type {Session, SessionState} from '../../src/shoot/state.js';
import {planWrap} from '../../src/wrap/plan-wrap.js';
import {type FakeCamera, type FakeCameraOptions, fakeCamera} from './fake-camera.js';

export {type FakeCamera, type FakeCameraOptions, fakeCamera} from './fake-camera.js';
export {jumpingClock} from './jumping-clock.js';

/*
 * Stand-ins for the other rooms of the house, true to their contracts and the same at every run: a camera whose frames
 * are named bytes, a measurer that reads them, a judge, a sound that writes down what it was asked.
 */

export type FakeSound = Sound & {said: string[]; prepared: number; stopped: number};

export const fakeSound = (): FakeSound => {
  const sound: FakeSound = {
    said: [],
    prepared: 0,
    stopped: 0,
    state: () => ({output: 'bell', speech: false, say: 'No sound device was found; the terminal bell and text serve.'}),
    async prepare() {
      sound.prepared += 1;
      const stop = (): void => {
        sound.stopped += 1;
      };
      return {start: () => ({startedAtMs: performance.now(), stop})};
    },
    async say(text) {
      sound.said.push(text);
    },
    async close() {},
  };
  return sound;
};

/** A measurement of a good frame, with whatever a test changes. */
export const measurementOf = (file: string, change: Partial<Measurement> = {}): Measurement => ({
  schema: 1,
  frame: {
    file: path.basename(file),
    width: 1500,
    height: 1000,
    takenAt: null,
    exposure: {shutterSeconds: 8, fNumber: 8, iso: 100},
  },
  lights: [
    {id: 'A', fired: true, ev: 0},
    {id: 'B', fired: true, ev: 0.1},
  ],
  ambient: {levelEv: -9, riseEv: 0, side: null, kelvin: null},
  spill: [{light: 'B', levelEv: -4.8, at: {x: 0.1, y: 0.4}, share: 0.92}],
  face: {levelEv: -0.4, clippedFraction: 0, leftRightEv: 1.2, sharpness: 1, shift: {x: 0, y: 0}, doubled: false},
  trail: {
    coverage: 0.84,
    crossing: 0,
    headGap: 0.2,
    offset: {x: 0, y: 0},
    clippedFraction: 0.1,
    crossingAt: null,
    levelEv: 1.2,
    unevenEv: 0.4,
    directions: Array.from({length: 72}, (_, at) => at < 60),
  },
  histogram: {fromEv: -12, stepEv: 0.5, counts: Array.from({length: 32}, (_, at) => 1000 - at)},
  missing: [],
  timing: {decodeMs: 1, measureMs: 1},
  ...change,
});

export type FakeMeasurer = Measurer & {
  measured: string[];
  platesFolder: string | null;
  /** What the next measurements say; thrown when it is an error. */
  answers: (Partial<Measurement> | Error)[];
};

export const fakeMeasurer = (): FakeMeasurer => {
  const measurer: FakeMeasurer = {
    measured: [],
    platesFolder: null,
    answers: [],
    async usePlates(folder) {
      measurer.platesFolder = folder;
    },
    async measure(file) {
      measurer.measured.push(file);
      const answer = measurer.answers.shift() ?? {};
      if (answer instanceof Error) throw answer;
      return measurementOf(file, answer);
    },
    async guessZones() {
      return {face: {cx: 0.5, cy: 0.4, rx: 0.09, ry: 0.17}};
    },
    async picture(_, maxWidth, maxHeight) {
      const width = Math.max(1, Math.min(maxWidth, Math.floor(maxHeight * 1.5)));
      const height = Math.max(1, Math.floor(width / 1.5));
      const rgb = new Uint8Array(width * height * 3);
      for (let y = 0; y < height; y++)
        for (let x = 0; x < width; x++) {
          const near = Math.hypot((x / width - 0.5) * 1.5, y / height - 0.4) < 0.17;
          const at = (y * width + x) * 3;
          rgb[at] = near ? 180 : Math.round((20 * x) / width);
          rgb[at + 1] = near ? 110 : Math.round((14 * y) / height);
          rgb[at + 2] = near ? 70 : 8;
        }
      return {width, height, rgb};
    },
    async close() {},
  };
  return measurer;
};

export const fakeJudge: Judge = ({measurement: {trail, spill, ambient}}) => ({
  checks: [
    {
      id: 'face clear',
      state: (trail?.crossing ?? 0) > 0.01 ? 'fail' : 'ok',
      say: 'clear',
      value: trail?.crossing ?? null,
      limit: 0.01,
      unit: 'of the face',
    },
    {
      id: 'spill B',
      state: (spill[0]?.levelEv ?? -20) > -5 ? 'fail' : 'ok',
      say: 'B on the left wall −4.8 EV',
      value: spill[0]?.levelEv ?? null,
      limit: -5,
      unit: 'EV',
    },
    {
      id: 'room',
      state: (ambient.levelEv ?? -20) > -5.5 ? 'fail' : 'ok',
      say: `${ambient.levelEv} EV`,
      value: ambient.levelEv,
      limit: -5.5,
      unit: 'EV',
    },
  ],
  advice: [{do: 'lower B one stop (1/64)', because: 'its spill is 92 % of the left wall'}],
});

export type FakeRoom = ObedientRoom & {arranged: Arrangement[]};
export const fakeRoom = (): FakeRoom => {
  const arranged: Arrangement[] = [];
  return {arranged, arrange: arrangement => void arranged.push(arrangement)};
};

/** A folder that is removed after the test. */
export const temporaryFolder = async (): Promise<{folder: string; remove(): Promise<void>}> => {
  const folder = await mkdtemp(path.join(tmpdir(), 'darkset-test-'));
  return {folder, remove: () => rm(folder, {recursive: true, force: true})};
};

export type FakeWorld = {
  session: Session;
  camera: FakeCamera;
  sound: FakeSound;
  measurer: FakeMeasurer;
  room: FakeRoom | null;
  folder: string;
  /** Resolves when the state is as asked; rejects after a while with what it was. */
  until(wanted: (state: SessionState) => boolean, what?: string): Promise<SessionState>;
  close(): Promise<void>;
};

/** The state in which a session becomes so; rejects with where it stands when that doesn't come. */
export const untilState = (
  session: Session,
  wanted: (state: SessionState) => boolean,
  withinMs = 20_000,
): Promise<SessionState> =>
  new Promise((resolve, reject) => {
    const look = (): void => {
      if (!wanted(session.state())) return;
      clearTimeout(timer);
      unsubscribe();
      resolve(session.state());
    };
    const timer = setTimeout(() => {
      unsubscribe();
      const {activity, message, camera: link} = session.state();
      reject(new Error(`never came: ${wanted}; it is ${JSON.stringify({activity, message, link: link.kind})}`));
    }, withinMs);
    const unsubscribe = session.subscribe(look);
    look();
  });

/**
 * A running shoot on stand-ins, for tests of the session and of the screens.
 * @param speed how many times faster than real time, where no clock is given; 40 makes an 8 s exposure 0.2 s long
 */
export const fakeSession = async (
  options: {
    speed?: number;
    folder?: string;
    realRoom?: boolean;
    clock?: Clock;
    camera?: Partial<FakeCameraOptions>;
    deps?: Partial<SessionDeps>;
  } = {},
): Promise<FakeWorld> => {
  const {speed = 40} = options;
  const temporary = options.folder ? null : await temporaryFolder();
  const folder = path.join(options.folder ?? temporary!.folder, 'window-light');
  const clock = options.clock ?? fastClock(speed);
  const camera = fakeCamera({clock, ...options.camera});
  const sound = fakeSound();
  const measurer = fakeMeasurer();
  const room = options.realRoom ? null : fakeRoom();
  const session = await openSession({
    folder,
    program: 'darkset test',
    cameras: {open: async () => camera},
    room,
    sound,
    clock,
    speed: options.clock ? 1 : speed,
    measurer,
    judge: fakeJudge,
    planWrap,
    wrapUp: async ({shoot, progress, ...order}) => {
      const files = shoot.attempts.filter(({mark}) => mark === 'keep').flatMap(attempt => attempt.files);
      const {folder: handOff} = await planWrap({shoot, ...order});
      files.forEach((file, at) => {
        progress(at + 1, files.length, file.path);
      });
      return {folder: handOff, files};
    },
    keepAwake: async () => () => undefined,
    asleepMs: () => 0,
    linkTimes: {retryMs: [10, 20], lookMs: 50},
    ...options.deps,
  });
  const until = (wanted: (state: SessionState) => boolean): Promise<SessionState> => untilState(session, wanted);
  return {
    session,
    camera,
    sound,
    measurer,
    room,
    folder,
    until,
    async close() {
      await session.close();
      await temporary?.remove();
    },
  };
};
