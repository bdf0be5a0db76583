import {readFile} from 'node:fs/promises';
import {join} from 'node:path';
import {zonesSchema} from '../../shared/zones.js';
import {measureFrames} from '../../src/frame/measure-frames.js';
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
    const files = truth.frames.map(({file}) => join(path, file));
    const measured = await measureFrames(files, plates, zones);
    const scores = truth.frames.map((frame, n) => {
      const own = measured[n]!;
      if ('error' in own) throw own.error;
      return scoreFrame(truth, frame, own.measurement);
    });
    onRoom(recipe.name, scores);
    all.push(...scores);
  }
  return all;
};
