import {startLoopbackCamera} from './server.js';
import {createStillCamera} from './still-camera.js';

/**
 * A loopback camera in a process of its own, for tests that stop or kill it and for the bench. Prints its port. Takes
 * the real seconds that one second of exposure lasts, and the size of its frames in bytes.
 */
const [pace = '0.02', bytes = '40000000'] = process.argv.slice(2).filter(argument => argument !== '');
const files = [{ending: '.JPG', kind: 'jpeg' as const, bytes: Number(bytes)}];
const loopback = await startLoopbackCamera(createStillCamera({files, pace: Number(pace)}).camera);
process.stdout.write(`${loopback.port}\n`);
process.on('disconnect', () => process.exit());
