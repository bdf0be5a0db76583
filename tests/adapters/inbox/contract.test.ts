import {mkdir, mkdtemp, rename, rm, writeFile} from 'node:fs/promises';
import {tmpdir} from 'node:os';
import {join} from 'node:path';
import sharp from 'sharp';
import {openInbox} from '../../../adapters/inbox/inbox.js';
import {spedClock} from '../../../adapters/studio/clock.js';
import {holdToContract} from '../camera-contract.js';

holdToContract('The watched folder', async () => {
  const root = await mkdtemp(join(tmpdir(), 'darkset-inbox-'));
  const folder = join(root, 'drop');
  await mkdir(folder);
  const camera = await openInbox({folder, clock: spedClock(40), settleMs: 60, siblingMs: 60});
  let number = 0;
  const drop = async (): Promise<void> => {
    number += 1;
    const noise = {type: 'gaussian' as const, mean: 90, sigma: 30};
    const jpeg = await sharp({create: {width: 60, height: 40, channels: 3, background: '#222', noise}})
      .jpeg()
      .toBuffer();
    await writeFile(join(folder, `shot${String(number).padStart(4, '0')}.jpg`), jpeg);
  };
  return {
    camera,
    seconds: 1,
    longSeconds: 600,
    release: drop,
    makeStray: drop,
    takeAway: () => rename(folder, join(root, 'away')),
    bringBack: () => rename(join(root, 'away'), folder),
    clear: () => rm(root, {recursive: true, force: true}),
  };
});
