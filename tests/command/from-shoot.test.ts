import {afterAll, beforeAll, expect, test} from 'vitest';
import {demoRig, type Rig} from '../../shared/rig.js';
import {readOldShoot, startFrom} from '../../src/command/from-shoot.js';
import {openShoot} from '../../src/shoot/open-shoot.js';
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
    const {shoot} = await world.until(state => state.shoot.limits.coverage === 0.5);
    expect(shoot.rig).toEqual(lastWeek);
    expect(shoot.exposure).toEqual(exposure);
    expect(() => startFrom(world.session, oldShoot)).toThrow(
      /^--from is for a new shoot, and .+ has begun; name another folder\.$/,
    );
  } finally {
    await world.session.close();
  }
});

test('an earlier shoot that is not there is said', async () => {
  await expect(readOldShoot(`${place.folder}/nowhere`)).rejects.toMatchObject({name: 'ShootFault'});
});
