import type {Measurer} from '../frame/measurer.js';
import {safePath} from '../shoot/names.js';
import type {Shoot} from '../shoot/state.js';
import type {PlateLevels} from './compare-plates.js';
import {shownFile} from './small-picture.js';

/**
 * Measures the plates of a shoot by themselves, for a comparison with those of another. A plate that can't be read has
 * no levels.
 * @param measurer one that nothing else uses meanwhile: it forgets its plates
 */
export const plateLevels = async (
  {shoot, folder}: {shoot: Shoot; folder: string},
  measurer: Pick<Measurer, 'usePlates' | 'measure'>,
): Promise<PlateLevels[]> => {
  await measurer.usePlates(null);
  const levels: PlateLevels[] = [];
  for (const {plate, exposure, files, rig = shoot.rig} of shoot.plates) {
    const file = shownFile(files);
    const measured = file && (await measure(folder, file.path, shoot, measurer));
    levels.push({
      plate,
      exposure: exposure ?? measured?.frame.exposure ?? null,
      rig,
      faceEv: measured?.face.levelEv ?? null,
      wallEv: measured?.ambient.levelEv ?? null,
    });
  }
  return levels;
};

const measure = async (folder: string, path: string, {zones}: Shoot, measurer: Pick<Measurer, 'measure'>) => {
  try {
    return await measurer.measure(safePath(folder, path), zones);
  } catch {
    return null;
  }
};
