import {afterAll, beforeAll, expect, test} from 'vitest';
import {demoRig, type Rig} from '../../shared/rig.js';
import {readOldShoot, startFrom} from '../../src/command/from-shoot.js';
import {emptyShoot} from '../../src/shoot/fold.js';
import {openShoot} from '../../src/shoot/open-shoot.js';
import type {Shoot} from '../../src/shoot/state.js';
import {rigFromShoot} from '../../src/wrap/from-shoot.js';
import {fakeSession, temporaryFolder} from '../shoot/fakes.js';

let place: Awaited<ReturnType<typeof temporaryFolder>>;
beforeAll(async () => {
  place = await temporaryFolder();
});
afterAll(() => place.remove());

const lastWeek: Rig = {...demoRig, name: 'last week', notes: 'the wall was painted black'};
const exposure = {shutterSeconds: 6, fNumber: 10, iso: 50};

test('a new shoot starts with the rig, exposure and limits of an earlier one, and one that has begun keeps its own', async () => {
  const old = await openShoot(`${place.folder}/last-week`, {program: 'test'});
  await old.append({kind: 'rig-set', rig: lastWeek});
  await old.append({kind: 'exposure-set', exposure});
  await old.append({kind: 'limits-set', limits: {coverage: 0.5}});
  await old.close();

  const oldShoot = await readOldShoot(`${place.folder}/last-week`);
  const world = await fakeSession();
  try {
    startFrom(world.session, oldShoot);
    const {shoot} = await world.until(state => state.shoot.startedFrom !== undefined);
    expect(shoot.limits.coverage).toBe(0.5);
    expect(shoot.rig).toEqual(lastWeek);
    expect(shoot.exposure).toEqual(exposure);
    expect(shoot.startedFrom).toBe(`${place.folder}/last-week`);
    startFrom(world.session, oldShoot);
    expect(world.session.state().shoot).toBe(shoot);
    expect(() => startFrom(world.session, {...oldShoot, folder: '/shoots/another'})).toThrow(
      /^--from is for a new shoot, and .+ has begun; name another folder\.$/,
    );
  } finally {
    await world.session.close();
  }
});

test('new plates are held against the earlier shoot’s once all are taken, also after a break', async () => {
  const folder = `${place.folder}/next-week`;
  const first = await fakeSession({folder});
  startFrom(first.session, {folder: '/shoots/last-week', setUp: rigFromShoot(emptyShoot())});
  await first.until(({shoot}) => shoot.startedFrom !== undefined);
  await first.close();

  const asked: string[] = [];
  const comparePlates = async (shoot: Shoot, _folder: string, startedFrom: string): Promise<string[]> => {
    asked.push(`${shoot.plates.length} plates against ${startedFrom}`);
    return ['B is 0.6 EV brighter than last time.'];
  };
  const {session, until, close} = await fakeSession({folder, deps: {comparePlates}});
  try {
    await until(({camera}) => camera.kind === 'connected');
    for (const plate of ['dark', 'light A', 'light B', 'sitter']) {
      session.send({kind: 'take plate', plate});
      await until(({shoot, activity}) => activity.kind === 'resting' && shoot.plates.at(-1)?.plate === plate);
    }
    expect(session.state().message).toEqual({say: 'B is 0.6 EV brighter than last time.', trouble: false});
    expect(asked).toEqual(['4 plates against /shoots/last-week']);
  } finally {
    await close();
  }
});

test('an earlier shoot that is not there is said', async () => {
  await expect(readOldShoot(`${place.folder}/nowhere`)).rejects.toMatchObject({name: 'ShootFault'});
});
