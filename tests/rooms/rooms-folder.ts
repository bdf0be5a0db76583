import {createHash} from 'node:crypto';
import {readdirSync, readFileSync} from 'node:fs';
import {mkdir, readFile, rename, rm} from 'node:fs/promises';
import {tmpdir} from 'node:os';
import {join} from 'node:path';
import type {RoomTruth} from './frame-truth.js';
import type {RoomRecipe} from './recipe.js';
import {writeRoom} from './room.js';

/** A folder for rooms in the system's temporary place; another one for every version of the generator. */
export const roomsFolder = (): string => {
  const here = import.meta.dirname;
  const hash = createHash('sha256');
  const apart = /^(evaluate|measure-rooms|score|summary|rooms-folder)\.ts$|\.test\.ts$/;
  for (const file of readdirSync(here).sort()) {
    if (file.endsWith('.ts') && !apart.test(file)) hash.update(file).update(readFileSync(join(here, file)));
  }
  return join(tmpdir(), `darkset-rooms-${hash.digest('hex').slice(0, 12)}`);
};

/** A room on disk: written now, or as an earlier run left it. */
export const roomOnDisk = async (recipe: RoomRecipe, folder: string): Promise<{path: string; truth: RoomTruth}> => {
  const path = join(folder, recipe.name);
  try {
    return {path, truth: JSON.parse(await readFile(join(path, 'truth.json'), 'utf8')) as RoomTruth};
  } catch {
    const unfinished = join(folder, `.${recipe.name}-${process.pid}`);
    await mkdir(folder, {recursive: true});
    const truth = await writeRoom(recipe, unfinished);
    await rm(path, {recursive: true, force: true});
    await rename(unfinished, path);
    return {path, truth};
  }
};
