import path from 'node:path';
import {describe, expect, it} from 'vitest';
import {CameraFault} from '../../shared/camera.js';
import {usualCueSheet} from '../../shared/cues.js';
import type {JournalEvent} from '../../shared/journal.js';
import {openShoot} from '../../src/shoot/open-shoot.js';
import {exposingForMs} from '../../src/shoot/still-exposing.js';
import {untilAborted} from '../../src/shoot/stopping.js';
import {shortEvening, wholeAttempt} from './entries.js';
import {type FakeWorld, fakeCamera, jumpingClock, temporaryFolder} from './fakes.js';
import {cleanups, resting, world} from './worlds.js';

describe('how long an exposure may go on by itself', () => {
  const at = '2026-11-25T20:00:00.000Z';
  const begun = Date.parse(at);
  const attempt = {
    at,
    openedAt: null,
    exposure: {shutterSeconds: 8, fNumber: 8, iso: 100},
    cues: usualCueSheet(8, 10),
  };

  it('counts the exposure, a dark frame as long again and 5 s of writing from the opening', () => {
    const opened = {...attempt, openedAt: '2026-11-25T20:00:30.000Z'};
    expect(exposingForMs(opened, begun + 30_000, 1)).toBe(21_000);
    expect(exposingForMs(opened, begun + 33_000, 1)).toBe(18_000);
    expect(exposingForMs(opened, begun + 60_000, 1)).toBe(0);
  });

  it('counts the countdown too where no opening is known', () => {
    expect(exposingForMs(attempt, begun, 1)).toBe(31_000);
    expect(exposingForMs(attempt, begun + 31_000, 1)).toBe(0);
  });

  it('follows a clock that runs faster', () => {
    expect(exposingForMs(attempt, begun + 1000, 20)).toBe(11_000);
  });

  it('is never more than the whole, when the wall clock was set back or the time does not parse', () => {
    expect(exposingForMs(attempt, begun - 3_600_000, 1)).toBe(31_000);
    expect(exposingForMs({...attempt, at: 'yesterday'}, begun, 1)).toBe(31_000);
  });
});

/** A camera on whose card each file appears at its moment of the shoot's clock. */
const cameraStillExposing = (files: Record<string, number>, clock: ReturnType<typeof jumpingClock>) => {
  const camera = fakeCamera({clock});
  for (const name of Object.keys(files)) camera.makeByHand(name);
  for (const entry of camera.card.values()) entry.madeAtMs += 60_000;
  const {strays} = camera;
  camera.strays = async sinceMs => (await strays(sinceMs)).filter(({name}) => clock.now() >= files[name]!);
  return camera;
};

const evening = shortEvening(0)
  .slice(1)
  .filter(({kind}) => kind !== 'plate-taken' && kind !== 'marked' && kind !== 'noted');

/** A shoot whose program has just been killed in the exposure of attempt 1, opened again with this camera. */
const reopened = async (
  camera: ReturnType<typeof fakeCamera>,
  clock: ReturnType<typeof jumpingClock>,
  begun: JournalEvent[] = wholeAttempt(1).slice(0, 2),
): Promise<FakeWorld> => {
  const {folder, remove} = await temporaryFolder();
  cleanups.push(remove);
  const open = await openShoot(path.join(folder, 'window-light'), {program: 'darkset test'});
  for (const event of [...evening, ...begun]) await open.append(event);
  await open.close();
  return world({folder, clock, deps: {cameras: {open: async () => camera}}});
};

describe('a shoot that is opened again while the camera still exposes', () => {
  it('awaits the frame, and the RAW that is written after its JPEG', async () => {
    const clock = jumpingClock(0);
    const made = await reopened(cameraStillExposing({'DSC_0001.JPG': 7500, 'DSC_0001.RAW': 8200}, clock), clock);
    const seen = new Set<string>();
    made.session.subscribe(() => {
      const {activity} = made.session.state();
      if (activity.kind === 'waiting for a file') seen.add(activity.say);
    });
    const {shoot} = await made.until(state => state.shoot.attempts[0]?.stage === 'measured' && resting(state));
    expect(shoot.attempts[0]!.files.map(({nameOnCamera}) => nameOnCamera)).toEqual(['DSC_0001.JPG', 'DSC_0001.RAW']);
    expect(seen).toContain('The camera may still be exposing; its frame is awaited.');
  });

  it('takes "busy" for an answer until the exposure must be over', async () => {
    const clock = jumpingClock(0);
    const camera = cameraStillExposing({'DSC_0001.JPG': 0}, clock);
    const {strays} = camera;
    camera.strays = async sinceMs => {
      if (clock.now() < 9000) throw new CameraFault('busy', 'The camera is busy.');
      return strays(sinceMs);
    };
    const made = await reopened(camera, clock);
    const {shoot} = await made.until(state => state.shoot.attempts[0]?.stage === 'measured' && resting(state));
    expect(shoot.attempts[0]!.files).toHaveLength(1);
  });

  it('can be stopped in that wait, and finds the frame when asked', async () => {
    const clock = jumpingClock(0);
    let there = false;
    const camera = cameraStillExposing({'DSC_0001.JPG': 0}, clock);
    const {strays} = camera;
    camera.strays = async sinceMs => (there ? strays(sinceMs) : []);
    const {until} = clock;
    clock.until = (at, signal) =>
      there ? until(at, signal) : untilAborted(new Promise<void>(() => undefined), signal!);
    const made = await reopened(camera, clock);
    await made.until(
      ({activity}) => activity.kind === 'waiting for a file' && activity.say.startsWith('The camera may'),
    );
    made.session.send({kind: 'stop'});
    await made.until(resting);
    expect(made.session.state().shoot.attempts[0]!.framesTold).toBe(false);
    there = true;
    made.session.send({kind: 'look for lost frames'});
    const {shoot} = await made.until(state => resting(state) && state.shoot.attempts[0]?.stage === 'measured');
    expect(shoot.attempts[0]!.files).toHaveLength(1);
  });

  it('finds by hand the frame that was looked for in vain, on another camera say', async () => {
    const clock = jumpingClock(0);
    let there = false;
    const camera = cameraStillExposing({'DSC_0001.JPG': 0}, clock);
    const {strays} = camera;
    camera.strays = async sinceMs => (there ? strays(sinceMs) : []);
    const made = await reopened(camera, clock);
    const {message} = await made.until(state => resting(state) && state.shoot.attempts[0]?.stage === 'stopped');
    expect(message?.say).toBe('The frame of attempt 1 is not on this camera.');
    there = true;
    made.session.send({kind: 'look for lost frames'});
    const {shoot} = await made.until(state => resting(state) && state.shoot.attempts[0]?.stage === 'measured');
    expect(shoot.attempts[0]!.files.map(({nameOnCamera}) => nameOnCamera)).toEqual(['DSC_0001.JPG']);
  });
});

describe('a probe of the room whose program was killed', () => {
  const [begun] = wholeAttempt(1) as [JournalEvent];
  const probe = {folder: '/store/100', name: 'DSC_0001.JPG', kind: 'jpeg', bytes: 4096} as const;
  const filesOf = async (events: JournalEvent[], names: string[]) => {
    const clock = jumpingClock(0);
    const camera = cameraStillExposing(Object.fromEntries(names.map(name => [name, 0])), clock);
    const made = await reopened(camera, clock, events);
    const ends = ['stopped', 'measured'];
    const {shoot} = await made.until(state => resting(state) && ends.includes(state.shoot.attempts[0]?.stage ?? ''));
    return {files: shoot.attempts[0]!.files.map(({nameOnCamera}) => nameOnCamera), strays: shoot.strays};
  };
  const begins: JournalEvent = {kind: 'probe-begun', attempt: 1};
  const makes: JournalEvent = {kind: 'probe-made', frames: [probe]};

  it.each([
    ['that was made', [begun, begins, makes], ['DSC_0001.JPG'], []],
    ['that was just being made', [begun, begins], ['DSC_0001.JPG'], []],
    ['that never came to be', [begun, begins], [], []],
    [
      'that was made, while the frame was, too',
      [begun, begins, makes],
      ['DSC_0001.JPG', 'DSC_0002.JPG'],
      ['DSC_0002.JPG'],
    ],
    [
      'that nobody knows the end of, while the frame was made',
      [begun, begins],
      ['DSC_0001.JPG', 'DSC_0002.JPG'],
      ['DSC_0002.JPG'],
    ],
  ] as [string, JournalEvent[], string[], string[]][])(
    '%s stands for no attempt and is no stray',
    async (_, events, names, files) => {
      expect(await filesOf(events, names)).toEqual({files, strays: []});
    },
  );
});
