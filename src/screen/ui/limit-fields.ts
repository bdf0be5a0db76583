import type {Limits} from '../../../shared/journal.js';
import {type LimitName, limitNames, limitOf, limitRules} from '../../judge/limits.js';

/** The step by which a limit changes: a fifth of its watch band, to one digit. */
const stepOf = (name: LimitName): number => Number((limitRules[name].watchBand / 5).toPrecision(1));

/** The limits with one of them so many steps further. */
export const withLimit = (limits: Limits, row: number, steps: number): Limits => {
  const name = limitNames[row]!;
  const step = stepOf(name);
  const value = Math.round(limitOf(limits, name) / step + steps) * step;
  return {...limits, [name]: Number(value.toPrecision(6))};
};

/** The limits with one of them as it usually is. */
export const usualLimit = (limits: Limits, row: number): Limits =>
  Object.fromEntries(Object.entries(limits).filter(([name]) => name !== limitNames[row]));

export type LimitField = {
  name: LimitName;
  words: string;
  value: number;
  unit: string;
  bound: 'most' | 'least';
  own: boolean;
};

/** The limits as they are edited, from top to bottom. */
export const limitFields = (limits: Limits): LimitField[] =>
  limitNames.map(name => {
    const {words, unit, bound} = limitRules[name];
    return {name, words, value: limitOf(limits, name), unit, bound, own: limits[name] !== undefined};
  });
