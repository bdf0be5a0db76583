import {openGphoto2} from '../../../adapters/gphoto2/open.js';

/** A program that holds a camera, for tests that kill it. Prints the number of the library's process. */
const camera = await openGphoto2({port: process.argv[2] ?? '', lookEveryMs: 200});
camera.watch(() => undefined);
process.stdout.write(`${camera.libraryPid}\n`);
