import {readdir} from 'node:fs/promises';
import path from 'node:path';
import {afterEach} from 'vitest';
import type {JournalEntry} from '../../shared/journal.js';
import {type AttemptKit, type AttemptOrder, type AttemptOutcome, runAttempt} from '../../src/shoot/attempt.js';
import {type OpenShoot, openShoot} from '../../src/shoot/open-shoot.js';
import type {Activity, PreflightItem} from '../../src/shoot/state.js';
import {StopAsked} from '../../src/shoot/stopping.js';
import {
  type FakeCamera,
  type FakeCameraOptions,
  type FakeMeasurer,
  type FakeRoom,
  type FakeSound,
  fakeCamera,
  fakeJudge,
  fakeMeasurer,
  fakeRoom,
  fakeSound,
  jumpingClock,
  temporaryFolder,
} from './fakes.js';

/** One attempt's stage: everything that runAttempt is given, and what came of it. */
export type Stage = {
  kit: AttemptKit;
  camera: FakeCamera;
  sound: FakeSound;
  measurer: FakeMeasurer;
  room: FakeRoom;
  open: OpenShoot;
  entries: JournalEntry[];
  /** What was shown, with the clock's time of it. */
  shown: {atMs: number; activity: Activity}[];
  clock: ReturnType<typeof jumpingClock>;
  sleep(ms: number): void;
  stop: AbortController;
  stopAgain: AbortController;
  run(order?: Partial<AttemptOrder>): Promise<AttemptOutcome>;
};

const cleanups: (() => Promise<void>)[] = [];
afterEach(async () => {
  for (const clean of cleanups.splice(0).reverse()) await clean();
});

export const allWell: PreflightItem[] = [
  {id: 'camera', by: 'watched', say: 'The camera answers.', state: 'ok', fix: null},
  {id: 'floor', by: 'told', say: 'The floor is clear.', state: 'ok', fix: null},
];

export const stage = async (options: Partial<FakeCameraOptions> = {}): Promise<Stage> => {
  const {folder, remove} = await temporaryFolder();
  const open = await openShoot(folder, {program: 'darkset test'});
  cleanups.push(remove, () => open.close());
  const clock = jumpingClock();
  const camera = fakeCamera({clock, ...options});
  const sound = fakeSound();
  const measurer = fakeMeasurer();
  const room = fakeRoom();
  const entries: JournalEntry[] = [];
  const shown: Stage['shown'] = [];
  let asleepMs = 0;
  const stop = new AbortController();
  const stopAgain = new AbortController();
  const kit: AttemptKit = {
    camera,
    sound,
    time: {clock, speed: 1, asleepMs: () => asleepMs},
    room,
    shootFolder: folder,
    byHand: options.status?.can?.openShutter === false,
    show: activity => void shown.push({atMs: clock.now(), activity}),
    append: async event => {
      const entry = await open.append(event);
      entries.push(entry);
      return entry;
    },
    shoot: open.shoot,
    measurer,
    judge: fakeJudge,
  };
  return {
    kit,
    camera,
    sound,
    measurer,
    room,
    open,
    entries,
    shown,
    clock,
    stop,
    stopAgain,
    sleep: ms => {
      asleepMs += ms;
    },
    run: order =>
      runAttempt(kit, {
        attempt: 1,
        items: allWell,
        series: false,
        roomCheck: false,
        hold: async () => undefined,
        signals: {stop: stop.signal, now: stopAgain.signal},
        ...order,
      }),
  };
};

export const kindsOf = ({entries}: Stage): string[] => entries.map(({kind}) => kind);
/** Does something as soon as this is shown. */
export const when = ({kit}: Stage, wanted: (activity: Activity) => boolean, then: () => void): void => {
  const {show} = kit;
  let done = false;
  kit.show = activity => {
    show(activity);
    if (done || !wanted(activity)) return;
    done = true;
    then();
  };
};

export const stopReason = new StopAsked();
export const filesOf = (made: Stage): Promise<string[]> =>
  readdir(path.join(made.kit.shootFolder, 'attempts/001')).catch(() => []);
