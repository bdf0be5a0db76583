import type {CueSheet} from '../../shared/cues.js';
import type {Exposure} from '../../shared/exposure.js';
import type {Limits} from '../../shared/journal.js';
import type {Rig} from '../../shared/rig.js';
import {bestOf} from '../judge/compare.js';
import type {Attempt, Shoot} from '../shoot/state.js';
import {measuredAttempts} from './attempt-words.js';

/** Everything from which a set can be built again. */
export type SetUp = {
  rig: Rig;
  exposure: Exposure;
  cues: CueSheet;
  limits: Limits;
  /** The attempt that it was; null where it is only planned. */
  attempt: number | null;
  /** Where it comes from, in a few words. */
  from: string;
};

/**
 * The set-up worth rebuilding: that of the newest kept attempt; without one, of the attempt with the best readings;
 * without any, as the shoot stands.
 */
export const rigFromShoot = (shoot: Shoot): SetUp => {
  const kept = shoot.attempts.findLast(({mark}) => mark === 'keep');
  if (kept) return setUpOf(kept, shoot, `attempt ${kept.number}, kept`);
  const bestNumber = bestOf(measuredAttempts(shoot.attempts))?.attempt;
  const best = shoot.attempts.find(({number}) => number === bestNumber);
  if (best) return setUpOf(best, shoot, `attempt ${best.number}, the best by its readings`);
  const {rig, exposure, cues, limits} = shoot;
  return {rig, exposure, cues, limits, attempt: null, from: 'the plan; no attempt was measured'};
};

const setUpOf = ({number, rig, exposure, cues, limits}: Attempt, shoot: Shoot, from: string): SetUp => ({
  rig,
  exposure,
  cues,
  limits: limits ?? shoot.limits,
  attempt: number,
  from,
});
