import path from 'node:path';
import {quote} from '../../shared/exposure.js';
import {openMeasurer} from '../frame/open-measurer.js';
import {readShoot} from '../shoot/open-shoot.js';
import type {Session, Shoot} from '../shoot/state.js';
import {comparePlates} from '../wrap/compare-plates.js';
import {rigFromShoot, type SetUp} from '../wrap/from-shoot.js';
import {plateLevels} from '../wrap/plate-levels.js';
import {UsageFault} from './complain.js';

/** An earlier shoot that a new one starts from: its folder, absolute, and what is taken over. */
export type OldShoot = {folder: string; setUp: SetUp};

/**
 * Reads the set-up of an earlier shoot.
 * @throws ShootFault where there is no shoot in that folder
 */
export const readOldShoot = async (folder: string): Promise<OldShoot> => {
  const old = await readShoot(path.resolve(folder));
  return {folder: old.folder, setUp: rigFromShoot(old.shoot)};
};

/**
 * Holds the plates of a shoot against those of the one it was started from.
 * @returns what is not as it was, each a sentence; one sentence when everything is
 * @throws ShootFault where the earlier shoot is gone
 */
export const compareWithOldShoot = async (shoot: Shoot, folder: string, startedFrom: string): Promise<string[]> => {
  const old = await readShoot(startedFrom);
  // A measurer of its own: it measures without plates, and the shoot's own measurer must keep its plates.
  const measurer = openMeasurer();
  try {
    const before = await plateLevels(old, measurer);
    const now = await plateLevels({shoot, folder}, measurer);
    const different = comparePlates(before, now).filter(({isSame}) => !isSame);
    return different.length > 0 ? different.map(({say}) => say) : ['Every plate is as last time.'];
  } finally {
    await measurer.close();
  }
};

/**
 * Gives a new shoot the rig, settings, cue sheet and limits of the old one.
 * @throws UsageFault where the shoot has been planned already: its own set-up must not be lost
 */
export const startFrom = (session: Session, old: OldShoot): void => {
  const {setUp} = old;
  const {shoot, folder} = session.state();
  // The same line opens a shoot again where it was left.
  if (shoot.startedFrom === old.folder) return;
  if (shoot.planned || shoot.plates.length > 0 || shoot.attempts.length > 0) {
    throw new UsageFault(
      `--from is for a new shoot, and ${quote(path.basename(folder))} has begun; name another folder.`,
    );
  }
  session.send({kind: 'set rig', rig: setUp.rig});
  session.send({kind: 'set exposure', change: setUp.exposure});
  session.send({kind: 'set cues', cues: setUp.cues});
  session.send({kind: 'set limits', limits: setUp.limits});
  // Last: what says so has taken over all of it.
  session.send({kind: 'start from', folder: old.folder});
};
