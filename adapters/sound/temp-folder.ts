import {mkdtemp, rm} from 'node:fs/promises';
import {tmpdir} from 'node:os';
import path from 'node:path';

/** A new folder of our own for sound files, and how to be rid of it. */
export const openTempFolder = async (): Promise<{folder: string; remove(): Promise<void>}> => {
  const folder = await mkdtemp(path.join(tmpdir(), 'darkset-sound-'));
  return {folder, remove: () => rm(folder, {recursive: true, force: true, maxRetries: 3}).catch(() => {})};
};
