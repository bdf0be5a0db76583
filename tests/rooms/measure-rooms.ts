import {readFile} from 'node:fs/promises';
import {join} from 'node:path';
import {zonesSchema} from '../../shared/zones.js';
import {measureFrame} from '../../src/frame/measure.js';
import {loadPlates} from '../../src/frame/plates.js';
import type {RoomRecipe} from './recipe.js';
import {roomOnDisk} from './rooms-folder.js';
import {type FrameScore, scoreFrame} from './score.js';

/** Measures every frame of every room and holds the readings against the truth. */
export const measureRooms = async (
  recipes: readonly RoomRecipe[],
  folder: string,
  onRoom: (name: string, scores: FrameScore[]) => void = () => {},
): Promise<FrameScore[]> => {
  const all: FrameScore[] = [];
  for (const recipe of recipes) {
    const {path, truth} = await roomOnDisk(recipe, folder);
    const plates = await loadPlates(path);
    const zones = zonesSchema.parse(JSON.parse(await readFile(join(path, 'zones.json'), 'utf8')));
    const scores: FrameScore[] = [];
    for (const frame of truth.frames) {
      scores.push(scoreFrame(truth, frame, await measureFrame(join(path, frame.file), plates, zones)));
    }
    onRoom(recipe.name, scores);
    all.push(...scores);
  }
  return all;
};
