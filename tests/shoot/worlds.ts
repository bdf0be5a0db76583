import path from 'node:path';
import {afterEach} from 'vitest';
import {openShoot} from '../../src/shoot/open-shoot.js';
import type {Intent, SessionState} from '../../src/shoot/state.js';
import {type FakeWorld, fakeSession, temporaryFolder} from './fakes.js';

const worlds: FakeWorld[] = [];
export const cleanups: (() => Promise<void>)[] = [];
export const world = async (options: Parameters<typeof fakeSession>[0] = {}): Promise<FakeWorld> => {
  const made = await fakeSession({speed: 400, ...options});
  worlds.push(made);
  return made;
};
/** A world in which an attempt may begin at once. */
export const readyWorld = async (options: Parameters<typeof fakeSession>[0] = {}): Promise<FakeWorld> => {
  const {folder, remove} = await temporaryFolder();
  cleanups.push(remove);
  const open = await openShoot(path.join(folder, 'window-light'), {program: 'darkset test'});
  await open.append({kind: 'exposure-set', exposure: {shutterSeconds: 8, fNumber: 8, iso: 100}});
  await open.append({kind: 'zones-set', zones: {face: {cx: 0.5, cy: 0.4, rx: 0.09, ry: 0.17}}});
  await open.close();
  const made = await world({folder, ...options});
  await made.until(state => state.camera.kind === 'connected');
  return made;
};
afterEach(async () => {
  for (const made of worlds.splice(0)) await made.close();
  for (const clean of cleanups.splice(0)) await clean();
});

export const resting = ({activity}: SessionState): boolean => activity.kind === 'resting';
export const begin = async ({session, until}: FakeWorld, how: Intent = {kind: 'begin attempt'}): Promise<void> => {
  session.send(how);
  await until(({activity}) => activity.kind === 'preflight');
  session.send({kind: 'go on'});
};
