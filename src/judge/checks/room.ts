import type {Check, Measurement} from '../../../shared/reading.js';
import {printKelvin, printLevel, printNumber} from '../../light/words.js';
import type {JudgeInput} from '../contract.js';
import {expectedRoomEv} from '../expected.js';
import {type State, worst} from '../limits.js';
import {sideForBoth} from '../sides.js';
import {checkAgainst, type View} from '../view.js';

/** A rise that stays this dark does no harm: about two and a half code values of an 8-bit picture (sRGB, computed). */
const HARMLESS_EV = -8;

const comesFrom = ({side, kelvin}: Measurement['ambient']): string => {
  const from = side === null ? '' : side === 'even' ? ', evenly' : `, from ${sideForBoth(side)}`;
  return `${from}${kelvin === null ? '' : `, about ${printKelvin(kelvin)}`}`;
};

const riseState = (view: View, levelEv: number, riseEv: number): State => {
  const measured = view.against('room rise', riseEv);
  return measured === 'fail' && levelEv < HARMLESS_EV ? 'watch' : measured;
};

const riseWords = (view: View, riseEv: number): string => {
  if (Math.abs(riseEv) < 0.3) return ', as on the plate';
  if (riseEv < 0) return `, ${printNumber(-riseEv, 1)} EV under the plate`;
  return `, ${printNumber(riseEv, 1)} EV over the plate${comesFrom(view.measurement.ambient)}`;
};

/** Rise over the dark plate, less what a change of exposure since the plate explains; null without a dark plate. */
export const riseOf = (input: JudgeInput): number | null => {
  const {riseEv} = input.measurement.ambient;
  return riseEv === null ? null : riseEv - expectedRoomEv(input);
};

/** The room's own light: its level on the wall, its rise over the dark plate, and where a leak comes from. */
export const roomChecks = (view: View): Check[] => {
  const {levelEv} = view.measurement.ambient;
  if (levelEv === null) return [];
  const riseEv = riseOf(view);
  const level = view.against('room level', levelEv);
  const rise: State = riseEv === null ? 'ok' : riseState(view, levelEv, riseEv);
  const words = riseEv === null ? '' : riseWords(view, riseEv);
  return [checkAgainst(view, 'room', 'room level', levelEv, `${printLevel(levelEv)}${words}`, worst(level, rise))];
};

/** Each flash's strongest patch on the wall. */
export const spillChecks = (view: View, wallAt: (at: {x: number; y: number}) => string): Check[] =>
  view.measurement.spill.map(({light, levelEv, at}) => {
    const id = `spill ${light}`;
    const before = view.last?.spill.find(each => each.light === light)?.levelEv;
    const was = before === undefined || Math.abs(before - levelEv) < 0.3 ? '' : `, was ${printNumber(before, 1)}`;
    return checkAgainst(view, id, 'spill', levelEv, `${light} on ${wallAt(at)} ${printLevel(levelEv)}${was}`);
  });
