import {readFile} from 'node:fs/promises';
import path from 'node:path';
import {afterEach, describe, expect, it} from 'vitest';
import {type Gphoto2Camera, openGphoto2} from '../../adapters/gphoto2/open.js';
import {fastClock} from '../../src/shoot/cue-clock.js';
import type {Activity} from '../../src/shoot/state.js';
import {needsLibrary, ownEnvironment} from '../adapters/gphoto2/bench.js';
import {startLoopbackCamera} from '../loopback-camera/server.js';
import {createStillCamera} from '../loopback-camera/still-camera.js';
import {fakeSession} from '../shoot/fakes.js';

const cleanups: (() => Promise<void> | void)[] = [];
afterEach(async () => {
  for (const clean of cleanups.splice(0).reverse()) await clean();
});

const SPEED = 20;

/** A shoot whose camera is driven by the real library, in its process, over a loopback connection. */
const libraryShoot = async () => {
  const own = ownEnvironment();
  cleanups.push(own.remove);
  const still = createStillCamera({pace: 1 / SPEED, files: [{ending: '.JPG', kind: 'jpeg', bytes: 3_000_000}]});
  const loopback = await startLoopbackCamera(still.camera);
  cleanups.push(() => loopback.stop());
  const clock = fastClock(SPEED);
  let camera: Gphoto2Camera | null = null;
  const world = await fakeSession({
    clock,
    realRoom: true,
    deps: {
      speed: SPEED,
      cameras: {
        open: async () => {
          camera = await openGphoto2({
            port: `ip:127.0.0.1:${loopback.port}`,
            environment: own.environment,
            clock,
            writingMs: 4000,
          });
          return camera;
        },
      },
      linkTimes: {retryMs: [100, 200], lookMs: 300},
    },
  });
  cleanups.push(() => world.close());
  return {...world, killLibrary: () => process.kill(camera!.libraryPid!, 'SIGKILL')};
};

describe('the camera’s own process, killed alone', () => {
  it.for(['countdown', 'open', 'pulling'] as const)(
    'while %s: the shoot stays, the camera comes back and no frame is lost',
    {timeout: 120_000},
    async (kind, context) => {
      needsLibrary(context);
      const {session, until, killLibrary, folder} = await libraryShoot();
      await until(({camera}) => camera.kind === 'connected');
      session.send({kind: 'focus', step: 'lock'});
      await until(({shoot}) => shoot.focusLocked !== null);
      const reached = ({activity}: {activity: Activity}): boolean => activity.kind === kind;
      session.send({kind: 'begin attempt'});
      await until(({activity}) => activity.kind === 'preflight' && activity.ready);
      session.send({kind: 'go on'});
      await until(reached);
      killLibrary();

      const {shoot} = await until(state => {
        const {stage = 'begun', files = []} = state.shoot.attempts[0] ?? {};
        return (
          state.activity.kind === 'resting' &&
          state.camera.kind === 'connected' &&
          (files.length > 0 || (stage === 'stopped' && kind === 'countdown'))
        );
      });
      const [attempt] = shoot.attempts;
      for (const file of attempt!.files) expect((await readFile(path.join(folder, file.path))).length).toBe(3_000_000);

      session.send({kind: 'begin attempt'});
      await until(({activity}) => activity.kind === 'preflight' && activity.ready);
      session.send({kind: 'go on'});
      await until(state => state.activity.kind === 'resting' && state.shoot.attempts[1]?.stage === 'measured');
    },
  );
});
