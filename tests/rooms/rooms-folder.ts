import {createHash} from 'node:crypto';
import {readdirSync, readFileSync} from 'node:fs';
import {mkdir, readFile, rename, rm, writeFile} from 'node:fs/promises';
import {tmpdir} from 'node:os';
import {join} from 'node:path';
import type {RoomTruth} from './frame-truth.js';
import type {RoomRecipe} from './recipe.js';
import {writeRoom} from './room.js';

/** Where rooms stay between runs, so that they are made once. */
export const roomsFolder = (): string => join(tmpdir(), 'darkset-rooms');

/** Files that only plan rooms (the recipe says it all) or hold readings against them. */
const apart = /^(plan.*|palette|evaluate|measure-rooms|score|summary|rooms-folder)\.ts$|\.test\.ts$/;

let makers: string | null = null;
const makersHash = (): string => {
  if (makers !== null) return makers;
  const hash = createHash('sha256');
  for (const file of readdirSync(import.meta.dirname).sort()) {
    if (file.endsWith('.ts') && !apart.test(file))
      hash.update(file).update(readFileSync(join(import.meta.dirname, file)));
  }
  makers = hash.digest('hex');
  return makers;
};

/** What a room comes from: its recipe and the code that makes it. */
const originOf = (recipe: RoomRecipe): string =>
  createHash('sha256').update(makersHash()).update(JSON.stringify(recipe)).digest('hex').slice(0, 16);

/** A room on disk: as an earlier run left it, or made now if it isn't there or comes from something else. */
export const roomOnDisk = async (recipe: RoomRecipe, folder: string): Promise<{path: string; truth: RoomTruth}> => {
  const path = join(folder, recipe.name);
  const origin = originOf(recipe);
  const mark = join(path, 'origin.txt');
  if ((await readFile(mark, 'utf8').catch(() => '')) === origin) {
    return {path, truth: JSON.parse(await readFile(join(path, 'truth.json'), 'utf8')) as RoomTruth};
  }
  const unfinished = join(folder, `.${recipe.name}-${process.pid}`);
  await mkdir(folder, {recursive: true});
  const truth = await writeRoom(recipe, unfinished);
  await writeFile(join(unfinished, 'origin.txt'), origin);
  await rm(path, {recursive: true, force: true});
  await rename(unfinished, path);
  return {path, truth};
};
