import {readdir} from 'node:fs/promises';
import path from 'node:path';
import {expect, it, vi} from 'vitest';
import {fakeSession} from '../shoot/fakes.js';

/*
 * A file system that knows neither hard links nor fsync, as memory cards and some network drives are: the shoot works on
 * it all the same.
 */
vi.mock('node:fs/promises', async original => {
  const real = await original<typeof import('node:fs/promises')>();
  const refused = (code: string) => Object.assign(new Error(code), {code});
  return {
    ...real,
    link: async () => {
      throw refused('EPERM');
    },
    open: async (...given: Parameters<typeof real.open>) => {
      const handle = await real.open(...given);
      handle.sync = async () => {
        throw refused('EINVAL');
      };
      return handle;
    },
  };
});

it('a shoot works where the disk knows neither links nor flushing, and replaces no file there either', async () => {
  const world = await fakeSession({speed: 400, camera: {raw: true, nameOf: () => 'SAME'}});
  const {session, until, folder} = world;
  await until(state => state.camera.kind === 'connected');
  for (const plate of ['dark', 'dark'] as const) {
    const before = session.state().shoot.plates[0]?.at;
    session.send({kind: 'take plate', plate});
    await until(
      ({shoot, activity}) => activity.kind === 'resting' && shoot.plates.length === 1 && shoot.plates[0]!.at !== before,
    );
  }
  session.send({kind: 'begin attempt'});
  await until(({activity}) => activity.kind === 'preflight');
  session.send({kind: 'go on'});
  await until(({activity, shoot}) => activity.kind === 'resting' && shoot.attempts[0]?.stage === 'measured');
  expect((await readdir(path.join(folder, 'attempts/001'))).sort()).toEqual(['SAME.JPG', 'SAME.RAW']);
  expect((await readdir(path.join(folder, 'plates/replaced'))).sort()).toEqual(['dark.jpg', 'dark.raw']);
  await world.close();
});
