import {mkdtempSync} from 'node:fs';
import {tmpdir} from 'node:os';
import {join} from 'node:path';
import {it} from 'vitest';
import {openGphoto2} from '../../../adapters/gphoto2/open.js';
import {openStudio} from '../../../adapters/studio/studio.js';
import type {LoopbackOptions} from '../../loopback-camera/server.js';
import {startLoopbackCamera} from '../../loopback-camera/server.js';
import {type Bench, holdToContract} from '../camera-contract.js';
import {libraryIsThere, needsLibrary, ownEnvironment} from './bench.js';

/** The real library, on the loopback camera, in front of the simulated room. */
const setUp = (loopbackOptions: LoopbackOptions) => async (): Promise<Bench> => {
  const own = ownEnvironment();
  const cardFolder = mkdtempSync(join(tmpdir(), 'darkset-loopback-'));
  const studio = await openStudio({speed: 20, megapixels: 0.3, cardFolder});
  const loopback = await startLoopbackCamera(studio.camera, loopbackOptions);
  const camera = await openGphoto2({
    port: `ip:127.0.0.1:${loopback.port}`,
    environment: own.environment,
    lookEveryMs: 500,
    writingMs: 5000,
  });
  let iso = 100;
  return {
    camera,
    seconds: 4,
    longSeconds: 60,
    makeStray: async () => {
      await loopback.pressRelease();
      await loopback.idle();
    },
    turnDial: async () => {
      iso = iso === 100 ? 200 : 100;
      studio.hands.turn({iso});
      loopback.dialTurned(0x500f);
    },
    takeAway: loopback.unplug,
    bringBack: loopback.plugIn,
    clear: async () => {
      await loopback.stop();
      await studio.camera.close();
      own.remove();
    },
  };
};

if (libraryIsThere()) {
  holdToContract('libgphoto2 on a camera of the bare standard', setUp({}));
  holdToContract('libgphoto2 on a camera with a bulb switch', setUp({dialect: 'toggle'}));
} else {
  it('libgphoto2 keeps the contract of a camera', needsLibrary);
}
