import {rm, writeFile} from 'node:fs/promises';
import path from 'node:path';
import {describe, expect, it} from 'vitest';
import {CameraFault} from '../../shared/camera.js';
import {openShoot, readShoot} from '../../src/shoot/open-shoot.js';
import {openSession} from '../../src/shoot/session.js';
import {shortEvening, wholeAttempt} from './entries.js';
import {type FakeWorld, fakeCamera, jumpingClock, temporaryFolder} from './fakes.js';

import {begin, cleanups, readyWorld, resting, world} from './worlds.js';

describe('a camera', () => {
  it('that is lost is looked for by itself, while the rest keeps working', async () => {
    let there = true;
    const clock = jumpingClock();
    const cards: ReturnType<typeof fakeCamera>['card'] = new Map();
    const opened: ReturnType<typeof fakeCamera>[] = [];
    const made = await readyWorld({
      deps: {
        cameras: {
          open: async () => {
            if (!there) throw new CameraFault('gone', 'No camera is plugged in.');
            const camera = fakeCamera({clock, card: cards});
            opened.push(camera);
            return camera;
          },
        },
      },
    });
    there = false;
    opened[0]!.failNext('status', new CameraFault('gone', 'The camera was unplugged.'));
    const lost = await made.until(({camera}) => camera.kind === 'lost');
    expect(lost.message).toEqual({say: 'The camera was unplugged.', trouble: true});
    expect(opened[0]!.closed()).toBe(true);
    made.session.send({kind: 'set limits', limits: {coverage: 0.4}});
    await made.until(({shoot}) => shoot.limits.coverage === 0.4);
    const byHand = opened[0]!.makeByHand('BY_HAND.JPG');
    there = true;
    const back = await made.until(
      state => state.camera.kind === 'connected' && resting(state) && (state.shoot.strays?.length ?? 0) > 0,
    );
    expect(back.shoot.strays![0]).toMatchObject({path: 'strays/BY_HAND.JPG', nameOnCamera: byHand.name});
    expect(back.message?.say).toBe('1 frame made by hand: in the folder "strays".');
  });

  it('that is lost in an exposure ends the attempt; its frame is fetched and measured when it is back', async () => {
    const card: ReturnType<typeof fakeCamera>['card'] = new Map();
    let opened = 0;
    const made: FakeWorld = await readyWorld({
      deps: {
        cameras: {
          open: async () => {
            opened += 1;
            const camera = fakeCamera({clock: jumpingClock(), card});
            if (opened === 1) {
              camera.expose = async ({onOpen}) => {
                onOpen();
                camera.makeByHand('CUT_OFF.JPG');
                throw new CameraFault('gone', 'The camera was unplugged.');
              };
            }
            return camera;
          },
        },
      },
    });
    await begin(made);
    await made.until(state => state.shoot.attempts[0]?.stage === 'stopped');
    const {shoot, message} = await made.until(state => resting(state) && state.shoot.attempts[0]?.stage === 'measured');
    expect(shoot.attempts[0]!.files[0]!.path).toBe('attempts/001/CUT_OFF.JPG');
    expect(shoot.attempts[0]!.trouble).toBe('The camera was unplugged.');
    expect(message?.say).toBe('The frame of attempt 1 was fetched from the camera.');
  });
});

describe('a shoot that is opened again', () => {
  const reopened = async (
    events: ReturnType<typeof shortEvening>,
    card: ReturnType<typeof fakeCamera>['card'] = new Map(),
  ): Promise<FakeWorld> => {
    const {folder, remove} = await temporaryFolder();
    cleanups.push(remove);
    const open = await openShoot(path.join(folder, 'window-light'), {program: 'darkset test'});
    for (const event of events) await open.append(event);
    await open.close();
    return world({folder, camera: {card}});
  };
  const evening = shortEvening(0)
    .slice(1)
    .filter(({kind}) => kind !== 'plate-taken' && kind !== 'marked' && kind !== 'noted');
  const cardWith = (...names: string[]): ReturnType<typeof fakeCamera>['card'] => {
    const camera = fakeCamera({clock: jumpingClock()});
    for (const name of names) camera.makeByHand(name);
    for (const entry of camera.card.values()) entry.madeAtMs += 60_000;
    return camera.card;
  };

  it.each([
    ['was counting down or just opening', 1],
    ['had the shutter open', 2],
    ['had closed the shutter', 3],
  ])('fetches and measures the frame of an attempt whose program ended when it %s', async (_, count) => {
    const made = await reopened(
      [...evening, ...wholeAttempt(1).slice(0, count)],
      cardWith('DSC_0001.JPG', 'DSC_0001.RAW'),
    );
    const {shoot} = await made.until(state => state.shoot.attempts[0]?.stage === 'measured' && resting(state));
    expect(shoot.attempts[0]!.files.map(file => file.path)).toEqual([
      'attempts/001/DSC_0001.JPG',
      'attempts/001/DSC_0001.RAW',
    ]);
    expect(shoot.strays).toEqual([]);
  });

  it('fetches by its name the frame whose pull was cut off, also when other frames were made since', async () => {
    const made = await reopened([...evening, ...wholeAttempt(1).slice(0, 4)], cardWith('AAA_0001.JPG', 'DSC_0001.JPG'));
    const {shoot} = await made.until(state => resting(state) && (state.shoot.strays?.length ?? 0) > 0);
    expect(shoot.attempts[0]!.files.map(({nameOnCamera}) => nameOnCamera)).toEqual(['DSC_0001.JPG']);
    expect(shoot.strays!.map(({nameOnCamera}) => nameOnCamera)).toEqual(['AAA_0001.JPG']);
  });

  it('says where a frame is not on the camera, and writes how the attempt ended', async () => {
    const made = await reopened([...evening, ...wholeAttempt(1).slice(0, 2)]);
    const {message} = await made.until(state => resting(state) && state.shoot.attempts[0]?.stage === 'stopped');
    expect(message).toEqual({say: 'The frame of attempt 1 is not on this camera.', trouble: true});
    expect(made.session.state().shoot.attempts[0]!.trouble).toBe(
      'The program ended before the attempt did, and no frame of it is on the camera.',
    );
  });

  it('says a torn line and a fetched frame together', async () => {
    const {folder, remove} = await temporaryFolder();
    cleanups.push(remove);
    const open = await openShoot(path.join(folder, 'window-light'), {program: 'darkset test'});
    for (const event of [...evening, ...wholeAttempt(1).slice(0, 4)]) await open.append(event);
    await open.close();
    await writeFile(path.join(open.folder, 'shoot.jsonl'), '{"torn', {flag: 'a'});
    const made = await world({folder, camera: {card: cardWith('DSC_0001.JPG')}});
    const {message} = await made.until(state => resting(state) && state.shoot.attempts[0]?.stage === 'measured');
    expect(message?.say).toMatch(
      /^The journal's last line was torn.*The frame of attempt 1 was fetched from the camera\.$/,
    );
  });

  it('looks for nothing when nothing is missing', async () => {
    const made = await reopened([...evening, ...wholeAttempt(1)], cardWith('OTHER.JPG'));
    await made.until(state => state.camera.kind === 'connected');
    made.session.send({kind: 'look for lost frames'});
    const {message, shoot} = await made.until(state => state.message !== null && resting(state));
    expect(message?.say).toBe('No attempt lacks its frame.');
    expect(shoot.strays).toEqual([]);
  });

  it('says what was found in its journal', async () => {
    const {folder, remove} = await temporaryFolder();
    cleanups.push(remove);
    const open = await openShoot(path.join(folder, 'window-light'), {program: 'darkset test'});
    await open.close();
    await writeFile(path.join(open.folder, 'shoot.jsonl'), '{"torn', {flag: 'a'});
    const made = await world({folder});
    expect(made.session.state().message).toEqual({
      say: "The journal's last line was torn, as after a power cut; it was moved to shoot.jsonl.set-aside.",
      trouble: true,
    });
  });
});

describe('closing', () => {
  it('in an exposure closes the shutter, keeps the frame and lets go of everything', async () => {
    const made = await readyWorld();
    await begin(made);
    await made.until(({activity}) => activity.kind === 'open');
    await made.session.close();
    expect((await readShoot(made.folder)).shoot.attempts[0]).toMatchObject({
      stage: 'stopped',
      trouble: 'The shoot was closed.',
      files: [{}],
    });
    expect(made.camera.closed()).toBe(true);
    const again = await openShoot(made.folder, {program: 'darkset test'});
    await again.close();
  });

  it('never hangs on a camera, a sound and a measurer that do', async () => {
    const never = (): Promise<never> => new Promise(() => undefined);
    const made = await readyWorld({camera: {}});
    made.camera.close = never;
    made.sound.close = never;
    made.measurer.close = never;
    await made.session.close();
    await (await openShoot(made.folder, {program: 'darkset test'})).close();
  }, 30_000);

  it('happens once, and words after it are not heard', async () => {
    const made = await readyWorld();
    const [one, other] = [made.session.close(), made.session.close()];
    expect(one).toBe(other);
    made.session.send({kind: 'begin attempt'});
    await one;
    expect(made.session.state().activity.kind).toBe('resting');
  });
});

describe('a shoot whose folder is taken away', () => {
  it('opens no shutter any more, and says why in one sentence', async () => {
    const made = await readyWorld();
    made.session.send({kind: 'begin attempt'});
    await made.until(({activity}) => activity.kind === 'preflight');
    await rm(made.folder, {recursive: true});
    made.session.send({kind: 'go on'});
    const {message} = await made.until(state => state.message?.trouble === true && resting(state));
    expect(message!.say).toMatch(/^The journal .* can't be written, so nothing new is remembered: the folder is gone/);
    expect(made.camera.exposures).toEqual([]);
  });
});

it('a shoot that is open already is refused before anything is begun', async () => {
  const made = await readyWorld();
  await expect(
    openSession({
      folder: made.folder,
      program: 'x',
      cameras: {open: async () => made.camera},
      room: null,
      sound: made.sound,
      clock: jumpingClock(),
      speed: 1,
      measurer: made.measurer,
      judge: () => ({checks: [], advice: []}),
      planWrap: async () => ({folder: '', files: [], bytes: 0}),
      wrapUp: async () => ({folder: '', files: []}),
      keepAwake: async () => () => undefined,
    }),
  ).rejects.toThrow(/^This shoot is already open/);
});
