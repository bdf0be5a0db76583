import {usualCueSheet} from '../../shared/cues.js';
import type {Check, Reading} from '../../shared/reading.js';
import {demoRig} from '../../shared/rig.js';
import type {Picture} from '../../src/frame/picture.js';
import type {Attempt, Intent, Session, SessionState, Shoot} from '../../src/shoot/state.js';

/* A session without a room behind it: tests set its state and see what the screens asked for. */

const exposure = {shutterSeconds: 8, fNumber: 8, iso: 100};

const check = (id: string, state: Check['state'], say: string, value: number | null = null, unit = ''): Check => ({
  id,
  state,
  say,
  value,
  limit: null,
  unit,
});

/** A reading as the judge leaves it, with a spill that fails and a head gap to watch. */
export const someReading = (spillEv = -4.8, headGap = 1.1): Reading => ({
  schema: 1,
  frame: {file: 'frame.jpg', width: 6000, height: 4000, takenAt: null, exposure},
  lights: [
    {id: 'A', fired: true, ev: 0},
    {id: 'B', fired: true, ev: 0.1},
  ],
  ambient: {levelEv: -9, riseEv: 0.1, side: null, kelvin: null},
  spill: [{light: 'B', levelEv: spillEv, at: {x: 0.12, y: 0.4}, share: 0.92}],
  face: {levelEv: -0.4, clippedFraction: 0, leftRightEv: 1.2, sharpness: 0.95, shift: {x: 0, y: 0}, doubled: false},
  trail: {
    coverage: 0.84,
    crossing: 0,
    headGap,
    offset: {x: 0.1, y: 0},
    clippedFraction: 0.04,
    crossingAt: null,
    levelEv: 1.2,
    unevenEv: 0.7,
    directions: Array.from({length: 72}, (_, index) => index % 6 !== 0),
  },
  histogram: {
    fromEv: -14,
    stepEv: 0.5,
    counts: Array.from(
      {length: 34},
      (_, bin) => Math.round(10_000 * Math.exp(-((bin - 9) ** 2) / 6)) + (bin > 22 ? 300 : 20),
    ),
  },
  missing: [],
  checks: [
    check('face clear', 'ok', 'clear', 0, 'of the face'),
    check('head gap', 'watch', `${headGap} heads, was 1.4`, headGap, 'heads'),
    check('coverage', 'ok', '84 %, best yet', 0.84, 'of the way round'),
    check('spill B', 'fail', `B on the left wall −${Math.abs(spillEv)} EV`, spillEv, 'EV'),
    check('room', 'ok', '−9.0 EV, as on the plate', -9, 'EV'),
    check('flash A', 'ok', '0.0 EV', 0, 'EV'),
    check('flash B', 'ok', '+0.1 EV', 0.1, 'EV'),
  ],
  advice: [
    {
      do: 'lower B one stop (1/8) or turn it 10° to the camera',
      because: 'its spill is 92 % of the left wall',
    },
  ],
  timing: {decodeMs: 100, measureMs: 40},
});

const digest = (letter: string): string => letter.repeat(64);

export const someAttempt = (number: number, change: Partial<Attempt> = {}): Attempt => ({
  number,
  at: `2026-11-25T21:${String(number).padStart(2, '0')}:00+00:00`,
  exposure,
  cues: usualCueSheet(8),
  rig: demoRig,
  told: [],
  series: false,
  stage: 'measured',
  openSeconds: 8,
  framesMade: [],
  files: [
    {
      path: `attempts/${String(number).padStart(3, '0')}/frame.jpg`,
      nameOnCamera: 'frame.jpg',
      kind: 'jpeg',
      bytes: 9_000_000,
      sha256: digest(String(number % 10)),
    },
  ],
  reading: someReading(-6 + number * 0.15, 1.5 - number * 0.05),
  trouble: null,
  mark: null,
  notes: [],
  changes: number > 1 ? ['B moved 1.2 → 0.9 m'] : [],
  ...change,
});

export const someShoot = (change: Partial<Shoot> = {}): Shoot => ({
  name: 'The Lantern Keeper',
  begunAt: '2026-11-25T20:00:00+00:00',
  rig: demoRig,
  exposure,
  roomEv100: -4,
  zones: {face: {cx: 0.5, cy: 0.42, rx: 0.09, ry: 0.2}},
  cues: usualCueSheet(8),
  limits: {},
  focusLocked: null,
  plates: [],
  attempts: [],
  wraps: [],
  ...change,
});

export const someState = (change: Partial<SessionState> = {}): SessionState => ({
  shoot: someShoot(),
  folder: '/shoots/lantern',
  camera: {
    kind: 'connected',
    identity: {kind: 'studio', maker: 'darkset', model: 'studio', serial: '1', port: 'none'},
    status: {
      exposure,
      focusMode: 'manual',
      focusLocked: true,
      format: 'jpeg',
      batteryPercent: 80,
      freeBytes: 3e10,
      freeFrames: null,
      clockDifferenceSeconds: 0,
      can: {setExposure: true, openShutter: true, focusDrive: true, probe: true},
      notes: [],
    },
  },
  sound: {output: 'bell', speech: false, say: 'No sound device: the terminal bell and large text serve.'},
  speed: 1,
  activity: {kind: 'resting'},
  next: {place: 'plates', say: 'take the dark plate', how: 'all lights off, nobody in the picture'},
  message: null,
  pictureFile: null,
  proposedZones: null,
  wrapPlan: null,
  ...change,
});

/** A face and a ring of light on black. */
export const somePicture = (maxWidth: number, maxHeight: number): Picture => {
  const width = Math.max(1, Math.min(maxWidth, Math.floor(maxHeight * 1.5)));
  const height = Math.max(1, Math.min(maxHeight, Math.floor(width / 1.5)));
  const rgb = new Uint8Array(3 * width * height);
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      const [u, v] = [(x + 0.5) / width - 0.5, ((y + 0.5) / height - 0.42) / 1.5];
      const far = Math.hypot(u / 0.09, v / 0.13);
      const face = far < 1 ? 200 * (1 - far * 0.6) * (0.7 - u * 3) : 0;
      const ring = Math.exp(-(((far - 1.9) / 0.25) ** 2)) * 255;
      const light = Math.min(255, Math.max(0, face + ring));
      rgb.set([light, light * 0.72, light * 0.42], 3 * (y * width + x));
    }
  }
  return {width, height, rgb};
};

export type FakeSession = Session & {
  sent: Intent[];
  closed: boolean;
  /** Changes the state and tells those who listen. */
  set(change: Partial<SessionState>): void;
  /** Where the shoot's clock stands, milliseconds. */
  nowMs: number;
};

/** @param react called for every intent, to let the fake answer */
export const createFakeSession = (
  first: Partial<SessionState> = {},
  react: (intent: Intent, session: FakeSession) => void = () => {},
): FakeSession => {
  let state = someState(first);
  const listeners = new Set<() => void>();
  const session: FakeSession = {
    sent: [],
    closed: false,
    nowMs: 0,
    state: () => state,
    subscribe: listener => {
      listeners.add(listener);
      return () => listeners.delete(listener);
    },
    send: intent => {
      session.sent.push(intent);
      react(intent, session);
    },
    now: () => session.nowMs,
    picture: async (_file, maxWidth, maxHeight) => somePicture(maxWidth, maxHeight),
    close: async () => {
      session.closed = true;
    },
    set: change => {
      state = {...state, ...change};
      for (const listener of listeners) listener();
    },
  };
  return session;
};
