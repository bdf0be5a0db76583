import type {Advice, Check} from '../../../shared/reading.js';
import type {JudgeInput} from '../contract.js';
import {isDrowned} from '../drowned.js';
import type {Ground} from './candidate.js';
import {faceAdvice} from './face.js';
import {flashAdvice} from './flash.js';
import {lastChangeAdvice} from './last-change.js';
import {roomAdvice} from './room.js';
import {spillAdvice} from './spill.js';
import {trailAdvice} from './trail.js';

/** More than this many at once is no advice. */
const MOST = 6;

/**
 * What to change next: each piece of advice is one change, the most useful first. Empty when every check is ok and the
 * last change left nothing to say.
 */
export const adviceFor = (input: JudgeInput, checks: Check[]): Advice[] => {
  const ground: Ground = {input, checks};
  // What a lit room says of flashes and face is the room's: it comes right when the room is dark again.
  const ofTheSitter = isDrowned(input.measurement) ? [] : [...flashAdvice(ground), ...faceAdvice(ground)];
  return [
    ...ofTheSitter,
    ...roomAdvice(ground),
    ...trailAdvice(ground),
    ...spillAdvice(ground),
    ...lastChangeAdvice(ground),
  ]
    .sort((a, b) => b.worth - a.worth)
    .slice(0, MOST)
    .map(({do: what, because}) => ({do: what, because}));
};
