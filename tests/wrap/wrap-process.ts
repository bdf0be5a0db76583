import {readShoot} from '../../src/shoot/open-shoot.js';
import {wrapUp} from '../../src/wrap/wrap-up.js';

/* A process that wraps the shoot of its argument and tells each step, to be killed by a test. */

const {shoot, folder} = await readShoot(process.argv[2]!);
await wrapUp({
  shoot,
  shootFolder: folder,
  destination: null,
  maybeToo: false,
  progress: (files, of) => process.stdout.write(`${files}/${of}\n`),
  signal: new AbortController().signal,
});
