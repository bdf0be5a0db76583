import {startLoopbackCamera} from './server.js';
import {createStillCamera} from './still-camera.js';

/** A loopback camera in a process of its own, for tests that stop or kill it. Prints its port. */
const files = [{ending: '.RAW', kind: 'raw' as const, bytes: 40_000_000}];
const loopback = await startLoopbackCamera(createStillCamera({files}).camera);
process.stdout.write(`${loopback.port}\n`);
process.on('disconnect', () => process.exit());
