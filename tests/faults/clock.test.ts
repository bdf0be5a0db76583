import {readFile} from 'node:fs/promises';
import path from 'node:path';
import {afterEach, describe, expect, it} from 'vitest';
import {openShoot, readShoot} from '../../src/shoot/open-shoot.js';
import type {SessionState} from '../../src/shoot/state.js';
import {verifyShoot} from '../../src/wrap/verify-shoot.js';
import {type FakeWorld, fakeSession, temporaryFolder} from '../shoot/fakes.js';

const cleanups: (() => Promise<void>)[] = [];
afterEach(async () => {
  for (const clean of cleanups.splice(0).reverse()) await clean();
});

const resting = ({activity}: SessionState): boolean => activity.kind === 'resting';

/** A shoot on stand-ins whose wall clock and sleep a test has in its hands. */
const worldWith = async (deps: {now?: () => Date; asleepMs?: () => number}): Promise<FakeWorld> => {
  const {folder, remove} = await temporaryFolder();
  cleanups.push(remove);
  const open = await openShoot(path.join(folder, 'window-light'), {program: 'darkset test', ...deps});
  await open.append({kind: 'exposure-set', exposure: {shutterSeconds: 8, fNumber: 8, iso: 100}});
  await open.append({kind: 'zones-set', zones: {face: {cx: 0.5, cy: 0.4, rx: 0.09, ry: 0.17}}});
  await open.close();
  const world = await fakeSession({folder, speed: 100, deps});
  cleanups.push(() => world.close());
  await world.until(state => state.camera.kind === 'connected' && resting(state));
  return world;
};
const begin = async ({session, until}: FakeWorld): Promise<void> => {
  session.send({kind: 'begin attempt'});
  await until(({activity}) => activity.kind === 'preflight');
  session.send({kind: 'go on'});
};

describe('a wall clock that jumps', () => {
  it.each([
    ['a day back', -86_400_000],
    ['an hour on, as in spring', 3_600_000],
    ['years on', 3e11],
    ['to 1970', -1.79e12],
  ])('%s in the middle of an attempt moves no cue and loses nothing', async (_, jumpMs) => {
    let shiftMs = 0;
    const world = await worldWith({now: () => new Date(Math.max(0, Date.UTC(2026, 10, 25, 20) + shiftMs))});
    const {session, until, camera, folder} = world;
    const cues: string[] = [];
    session.subscribe(() => {
      const {activity} = session.state();
      if (activity.kind === 'countdown' && activity.cue === 'lights out') shiftMs = jumpMs;
      if ((activity.kind === 'countdown' || activity.kind === 'open') && activity.cue && cues.at(-1) !== activity.cue)
        cues.push(activity.cue);
    });
    await begin(world);
    await until(state => resting(state) && state.shoot.attempts[0]?.stage === 'measured');
    await begin(world);
    const {shoot} = await until(state => resting(state) && state.shoot.attempts[1]?.stage === 'measured');
    expect(camera.exposures).toEqual([8, 8]);
    // The shutter was open for its eight seconds by the shoot's own clock, whatever the wall clock did.
    for (const {openSeconds} of shoot.attempts) expect(openSeconds).toBeGreaterThanOrEqual(8);
    expect(cues.slice(0, 5)).toEqual(['lights out', 'open', 'paint', 'hold still', 'flash']);

    await world.session.close();
    const again = await readShoot(folder);
    expect(again.damagedLines).toEqual([]);
    expect(again.shoot.attempts.map(({stage}) => stage)).toEqual(['measured', 'measured']);
    expect((await verifyShoot(folder)).problems).toEqual([]);
    const times = (await readFile(path.join(folder, 'shoot.jsonl'), 'utf8')).match(/"at":"[^"]+"/g)!;
    expect(new Set(times).size).toBeGreaterThan(1);
  });
});

describe('a laptop that sleeps', () => {
  it('in the countdown ends the attempt before the shutter opens; the next one runs', async () => {
    let asleepMs = 0;
    const world = await worldWith({asleepMs: () => asleepMs});
    const {session, until, camera} = world;
    const off = session.subscribe(() => {
      const {activity} = session.state();
      if (activity.kind !== 'countdown' || activity.cue !== 'lights out') return;
      off();
      asleepMs += 600_000;
    });
    await begin(world);
    const {shoot, message} = await until(state => resting(state) && state.shoot.attempts[0]?.stage === 'stopped');
    expect(shoot.attempts[0]).toMatchObject({
      openedAt: null,
      files: [],
      trouble: 'The computer slept or was held up for 600 s, so the cues were no longer true.',
    });
    expect(message?.trouble).toBe(true);
    expect(camera.exposures).toEqual([]);

    await begin(world);
    await until(state => resting(state) && state.shoot.attempts[1]?.stage === 'measured');
    expect(camera.exposures).toEqual([8]);
  });

  it('in the exposure closes the shutter, keeps the frame and says what happened', async () => {
    let asleepMs = 0;
    const world = await worldWith({asleepMs: () => asleepMs});
    const {session, until, folder} = world;
    const off = session.subscribe(() => {
      const {activity} = session.state();
      if (activity.kind !== 'open' || activity.cue !== 'paint') return;
      off();
      asleepMs += 60_000;
    });
    await begin(world);
    const {shoot} = await until(state => resting(state) && state.shoot.attempts[0]?.stage === 'stopped');
    expect(shoot.attempts[0]!.trouble).toMatch(/slept or was held up for 60 s/);
    expect(shoot.attempts[0]!.files).toHaveLength(1);
    expect((await verifyShoot(folder)).problems).toEqual([]);
  });
});
