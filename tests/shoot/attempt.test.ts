import {readdir} from 'node:fs/promises';
import path from 'node:path';
import fc from 'fast-check';
import {afterEach, describe, expect, it} from 'vitest';
import {CameraFault} from '../../shared/camera.js';
import type {JournalEntry} from '../../shared/journal.js';
import {type AttemptKit, type AttemptOrder, type AttemptOutcome, runAttempt} from '../../src/shoot/attempt.js';
import {JournalFault} from '../../src/shoot/journal.js';
import {type OpenShoot, openShoot} from '../../src/shoot/open-shoot.js';
import {PreflightFault} from '../../src/shoot/preflight.js';
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

type Stage = {
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

const allWell: PreflightItem[] = [
  {id: 'camera', by: 'watched', say: 'The camera answers.', state: 'ok', fix: null},
  {id: 'floor', by: 'told', say: 'The floor is clear.', state: 'ok', fix: null},
];

const stage = async (options: Partial<FakeCameraOptions> = {}): Promise<Stage> => {
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

const kindsOf = ({entries}: Stage): string[] => entries.map(({kind}) => kind);
/** Does something as soon as this is shown. */
const when = ({kit}: Stage, wanted: (activity: Activity) => boolean, then: () => void): void => {
  const {show} = kit;
  let done = false;
  kit.show = activity => {
    show(activity);
    if (done || !wanted(activity)) return;
    done = true;
    then();
  };
};

const stopReason = new StopAsked();
const filesOf = (made: Stage): Promise<string[]> =>
  readdir(path.join(made.kit.shootFolder, 'attempts/001')).catch(() => []);

describe('an attempt', () => {
  it('goes from the countdown to its verdict and writes down every step', async () => {
    const made = await stage({raw: true});
    const outcome = await made.run();
    expect(kindsOf(made)).toEqual([
      'attempt-begun',
      'shutter-opened',
      'shutter-closed',
      'frames-made',
      'frame-pulled',
      'frame-pulled',
      'measured',
    ]);
    expect(outcome).toMatchObject({kind: 'measured', troubles: []});
    expect(await filesOf(made)).toEqual(['DSC_0001.JPG', 'DSC_0001.RAW']);
    expect(made.open.shoot().attempts[0]).toMatchObject({
      stage: 'measured',
      told: ['The floor is clear.'],
      openSeconds: 8,
    });
    expect(made.measurer.measured).toEqual([path.join(made.kit.shootFolder, 'attempts/001/DSC_0001.JPG')]);
  });

  it('opens at the end of the countdown and calls every cue at its time', async () => {
    const made = await stage();
    await made.run();
    const opening = made.shown.find(({activity}) => activity.kind === 'open')!;
    const counting = made.shown.findLast(({activity}) => activity.kind === 'countdown')!.activity;
    expect(counting.kind === 'countdown' && Math.abs(counting.opensAtMs - opening.atMs)).toBeLessThan(5);

    const heard = made.shown.flatMap(({atMs, activity}) =>
      (activity.kind === 'countdown' || activity.kind === 'open') && activity.cue ? [{cue: activity.cue, atMs}] : [],
    );
    const firsts = heard.filter(({cue}, at) => heard.findIndex(other => other.cue === cue) === at);
    const sheet = made.open.shoot().cues.cues.filter(({name}) => name !== 'closed');
    expect(firsts.map(({cue}) => cue).filter(cue => cue !== 'closed')).toEqual(sheet.map(({name}) => name));
    for (const {name, atSeconds} of sheet) {
      const {atMs} = firsts.find(({cue}) => cue === name)!;
      expect(Math.abs(atMs - opening.atMs - atSeconds * 1000)).toBeLessThan(20);
    }
  });

  it('arranges a room that arranges itself: all flashes that are on, the sitter, painting, room light out', async () => {
    const made = await stage();
    await made.run();
    expect(made.room.arranged).toHaveLength(1);
    expect(made.room.arranged[0]).toMatchObject({firing: ['A', 'B'], roomLights: false, sitter: true, painting: true});
  });

  it('begins nothing when the preflight does not allow it', async () => {
    const made = await stage();
    const [camera, floor] = allWell as [PreflightItem, PreflightItem];
    await expect(
      made.run({items: [{...camera, state: 'fail', say: 'No camera.', fix: 'Plug it in.'}, floor]}),
    ).rejects.toThrow(new PreflightFault('Not ready: No camera. Plug it in.'));
    await expect(made.run({items: [camera, {...floor, state: 'open'}]})).rejects.toThrow(PreflightFault);
    expect(made.entries).toEqual([]);
    expect(made.camera.exposures).toEqual([]);
  });

  it('is kept unmeasured, with the reason, when its frame cannot be read', async () => {
    const made = await stage();
    made.measurer.answers.push(new Error('DSC_0001.JPG is not a picture.'));
    expect(await made.run()).toMatchObject({kind: 'unmeasured', why: 'DSC_0001.JPG is not a picture.'});
    expect(kindsOf(made).at(-1)).toBe('unmeasured');
  });

  it('is measured although its RAW file did not come through, and says so', async () => {
    const made = await stage({raw: true});
    const {pull} = made.camera;
    made.camera.pull = async (frame, ...rest) => {
      if (frame.kind === 'raw') throw new CameraFault('lost', 'The RAW file came through broken.');
      await pull(frame, ...rest);
    };
    const outcome = await made.run();
    expect(outcome.kind).toBe('measured');
    expect(outcome.troubles.map(String)).toEqual(['CameraFault: The RAW file came through broken.']);
    expect(made.open.shoot().attempts[0]!.files).toHaveLength(1);
  });
});

describe('a stop', () => {
  it('in the countdown opens no shutter and silences the sound', async () => {
    const made = await stage();
    when(
      made,
      activity => activity.kind === 'countdown' && activity.cue === 'lights out',
      () => made.stop.abort(stopReason),
    );
    expect(await made.run()).toMatchObject({kind: 'stopped', during: 'countdown', why: 'Stopped by hand.'});
    expect(kindsOf(made)).toEqual(['attempt-begun', 'attempt-stopped']);
    expect(made.camera.exposures).toEqual([]);
    expect(made.sound.stopped).toBe(1);
  });

  it('in the exposure closes the shutter, and the frame that exists is pulled and kept', async () => {
    const made = await stage();
    when(
      made,
      activity => activity.kind === 'open' && activity.cue === 'paint',
      () => made.stop.abort(stopReason),
    );
    expect(await made.run()).toMatchObject({kind: 'stopped', during: 'exposure'});
    expect(kindsOf(made)).toEqual([
      'attempt-begun',
      'shutter-opened',
      'shutter-closed',
      'frames-made',
      'frame-pulled',
      'attempt-stopped',
    ]);
    const attempt = made.open.shoot().attempts[0]!;
    expect(attempt.openSeconds).toBeLessThan(1);
    expect(attempt).toMatchObject({stage: 'stopped', reading: null});
    expect(await filesOf(made)).toEqual(['DSC_0001.JPG']);
  });

  it('said twice leaves the frame on the camera, whole, and nothing half in the shoot', async () => {
    const made = await stage();
    when(
      made,
      activity => activity.kind === 'open',
      () => made.stop.abort(stopReason),
    );
    const {show} = made.kit;
    made.kit.show = activity => {
      show(activity);
      if (activity.kind === 'pulling' && activity.bytes > 0) made.stopAgain.abort(stopReason);
    };
    expect(await made.run()).toMatchObject({kind: 'stopped', during: 'exposure'});
    expect(kindsOf(made)).toEqual([
      'attempt-begun',
      'shutter-opened',
      'shutter-closed',
      'frames-made',
      'attempt-stopped',
    ]);
    expect(await filesOf(made)).toEqual([]);
    expect(made.camera.card.size).toBe(1);
  });

  it('in the pull leaves the frame on the camera and says so', async () => {
    const made = await stage();
    when(
      made,
      activity => activity.kind === 'pulling' && activity.bytes > 0,
      () => made.stop.abort(stopReason),
    );
    expect(await made.run()).toMatchObject({kind: 'stopped', during: 'pull'});
    expect(kindsOf(made)).toEqual([
      'attempt-begun',
      'shutter-opened',
      'shutter-closed',
      'frames-made',
      'attempt-stopped',
    ]);
    expect(await filesOf(made)).toEqual([]);
  });

  it('in the measuring keeps the frame, unmeasured', async () => {
    const made = await stage();
    when(
      made,
      activity => activity.kind === 'measuring',
      () => made.stop.abort(stopReason),
    );
    made.measurer.measure = () => new Promise(() => undefined);
    expect(await made.run()).toMatchObject({kind: 'stopped', during: 'measuring'});
    expect(made.open.shoot().attempts[0]!.files).toHaveLength(1);
  });

  it('at any instant leaves a journal that tells what happened, and no frame is lost', async () => {
    await fc.assert(
      fc.asyncProperty(fc.integer({min: 0, max: 24_000}), fc.integer({min: 0, max: 3000}), async (firstMs, againMs) => {
        const made = await stage();
        const {clock} = made;
        const start = clock.now();
        const over = new AbortController();
        clock.until(start + firstMs, over.signal).then(
          () => made.stop.abort(stopReason),
          () => undefined,
        );
        clock.until(start + firstMs + againMs, over.signal).then(
          () => made.stopAgain.abort(stopReason),
          () => undefined,
        );
        const outcome = await made.run();
        over.abort();

        const told = kindsOf(made).join(' ');
        expect(told).toMatch(
          /^attempt-begun( shutter-opened shutter-closed frames-made( frame-pulled)?)? attempt-stopped$|^attempt-begun shutter-opened shutter-closed frames-made frame-pulled measured$/,
        );
        const attempt = made.open.shoot().attempts[0]!;
        expect(attempt.stage).toBe(outcome.kind === 'measured' ? 'measured' : 'stopped');
        expect(await filesOf(made)).toEqual(attempt.files.map(file => path.basename(file.path)));
        const onCamera = [...made.camera.card.keys()];
        expect(attempt.framesMade.map(({name}) => name)).toEqual(onCamera);
      }),
      {numRuns: 60},
    );
  });
});

describe('a fault', () => {
  it('of the camera in the exposure ends the attempt with its sentence', async () => {
    const made = await stage();
    made.camera.failNext('expose', new CameraFault('gone', 'The camera was unplugged; plug it in again.'));
    expect(await made.run()).toMatchObject({
      kind: 'stopped',
      during: 'exposure',
      why: 'The camera was unplugged; plug it in again.',
    });
    expect(kindsOf(made)).toEqual(['attempt-begun', 'attempt-stopped']);
  });

  it('of a camera that never answers again is not waited for for ever', async () => {
    const made = await stage();
    made.camera.expose = ({onOpen}) => {
      onOpen();
      return new Promise(() => undefined);
    };
    expect(await made.run()).toMatchObject({
      kind: 'stopped',
      during: 'exposure',
      why: 'The camera does not answer any more; switch it off and on.',
    });
    expect(made.clock.now()).toBeLessThan(120_000);
  });

  it('of the journal before the opening keeps the shutter closed', async () => {
    const made = await stage();
    made.kit.append = async () => {
      throw new JournalFault('The disk is full.');
    };
    await expect(made.run()).rejects.toThrow(JournalFault);
    expect(made.camera.exposures).toEqual([]);
  });

  it('of the journal during the exposure lets the shutter close properly and leaves the frame on the camera', async () => {
    const made = await stage();
    const {append} = made.kit;
    made.kit.append = async event => {
      if (event.kind === 'shutter-closed') throw new JournalFault('The disk is full.');
      return append(event);
    };
    await expect(made.run()).rejects.toThrow('The disk is full.');
    expect(kindsOf(made)).toEqual(['attempt-begun', 'shutter-opened']);
    expect(made.camera.card.size).toBe(1);
    expect(await filesOf(made)).toEqual([]);
  });
});

describe('a computer that slept', () => {
  it('through the countdown stops the attempt with the shutter closed', async () => {
    const made = await stage();
    when(
      made,
      activity => activity.kind === 'countdown' && activity.cue === 'lights out',
      () => made.sleep(3_600_000),
    );
    expect(await made.run()).toMatchObject({
      kind: 'stopped',
      during: 'countdown',
      why: 'The computer slept for 3600 s, so the cues were no longer true.',
    });
    expect(made.camera.exposures).toEqual([]);
  });

  it('through the exposure ends it, keeps the frame and says why', async () => {
    const made = await stage();
    when(
      made,
      activity => activity.kind === 'open' && activity.cue === 'paint',
      () => made.sleep(60_000),
    );
    expect(await made.run()).toMatchObject({kind: 'stopped', during: 'exposure', why: /slept for 60 s/});
    const attempt = made.open.shoot().attempts[0]!;
    expect(attempt.openSeconds).toBeLessThan(2);
    expect(attempt.files).toHaveLength(1);
  });

  it('is also noticed where the clock itself runs on in sleep, by a wait that ends far too late', async () => {
    const made = await stage();
    when(
      made,
      activity => activity.kind === 'countdown' && activity.cue === 'lights out',
      () => made.clock.jump(500_000),
    );
    expect(await made.run()).toMatchObject({kind: 'stopped', during: 'countdown', why: /slept/});
  });

  it('is not seen in a wall clock that is set to another time, nor in a moment of lateness', async () => {
    const made = await stage();
    const real = Date.now;
    when(
      made,
      activity => activity.kind === 'countdown' && activity.cue === 'lights out',
      () => {
        Date.now = () => real() + 86_400_000;
        made.sleep(30);
        made.clock.jump(200);
      },
    );
    try {
      expect((await made.run()).kind).toBe('measured');
    } finally {
      Date.now = real;
    }
  });
});

describe('a room check', () => {
  const withCheck = async (made: Stage, go: Promise<void>) => made.run({roomCheck: true, hold: () => go});

  it('probes after lights out, tells aloud that the room is dark, and opens only when told to', async () => {
    const made = await stage();
    let say = (): void => undefined;
    const told = new Promise<void>(resolve => {
      say = resolve;
    });
    when(
      made,
      activity => activity.kind === 'room check' && activity.holding,
      () => {
        expect(made.camera.exposures).toEqual([0.25]);
        expect(made.sound.said).toEqual(['Room dark, −9.0 EV.']);
        say();
      },
    );
    expect((await withCheck(made, told)).kind).toBe('measured');
    expect(made.camera.exposures).toEqual([0.25, 8]);
    expect(kindsOf(made).slice(0, 3)).toEqual(['attempt-begun', 'room-checked', 'shutter-opened']);
    expect(made.open.shoot().attempts[0]!.roomCheck).toBe('Room dark, −9.0 EV.');
    expect((await made.camera.status()).exposure).toEqual({shutterSeconds: 8, fNumber: 8, iso: 100});
    expect(await readdir(made.kit.shootFolder)).not.toContain('.probe');
  });

  it('tells where a room leaks that is not dark, by the limits of the shoot', async () => {
    const made = await stage();
    made.measurer.answers.push({ambient: {levelEv: -3.2, riseEv: 5.8, side: 'left', kelvin: 4000}});
    await withCheck(made, Promise.resolve());
    expect(made.sound.said[0]).toBe('The room is not dark: -3.2 EV, mostly from the left of the picture.');
  });

  it('has no flash, and nobody painting, in a room that arranges itself', async () => {
    const made = await stage();
    await withCheck(made, Promise.resolve());
    expect(made.room.arranged[0]).toMatchObject({firing: [], painting: false, roomLights: false});
  });

  it('can be stopped while it holds; the shutter stays closed', async () => {
    const made = await stage();
    when(
      made,
      activity => activity.kind === 'room check' && activity.holding,
      () => made.stop.abort(stopReason),
    );
    expect(await withCheck(made, new Promise(() => undefined))).toMatchObject({kind: 'stopped', during: 'room check'});
    expect(made.camera.exposures).toEqual([0.25]);
    expect((await made.camera.status()).exposure?.shutterSeconds).toBe(8);
  });
});

describe('a camera whose shutter is opened by hand', () => {
  /** As a watched folder is one: it says "open" when it begins to wait, and gives frames when a file has come. */
  const byHand = async (arrives: boolean): Promise<Stage> => {
    const can = {setExposure: false, openShutter: false, focusDrive: false, probe: false};
    const made = await stage({status: {can, exposure: null}});
    made.camera.expose = async ({seconds, signal, onOpen, onClose}) => {
      onOpen();
      await made.clock.until(made.clock.now() + seconds * 1000, signal).catch(() => undefined);
      onClose();
      await made.clock.until(made.clock.now() + (arrives ? 20_000 : 1e9), signal).catch(() => undefined);
      return arrives ? [made.camera.makeByHand('CARD_1.JPG')] : [];
    };
    return made;
  };

  it('is dark while the asked seconds run, then waits for the file as long as it takes', async () => {
    const made = await byHand(true);
    expect((await made.run()).kind).toBe('measured');
    const kinds = made.shown.map(({activity}) => activity.kind).filter((kind, at, all) => kind !== all[at - 1]);
    expect(kinds).toEqual(['countdown', 'open', 'waiting for a file', 'pulling', 'measuring']);
  });

  it('can be stopped while the file is awaited; the journal leaves open whether there is one', async () => {
    const made = await byHand(false);
    when(
      made,
      activity => activity.kind === 'waiting for a file',
      () => made.stop.abort(stopReason),
    );
    expect(await made.run()).toMatchObject({kind: 'stopped', during: 'exposure'});
    expect(kindsOf(made)).toEqual(['attempt-begun', 'shutter-opened', 'shutter-closed', 'attempt-stopped']);
    expect(made.open.shoot().attempts[0]).toMatchObject({framesTold: false, files: []});
  });
});
