import {anyCurve, type CurveBelief, POWERS} from './belief.js';

/*
 * The plates and the frames of a shoot come from one camera with one setting for tones: else the plates would explain
 * nothing. What a frame with all its lights and no leak says of the tone curve therefore holds for the others too, on which
 * it can't be told: a leak on the wall looks like a curve that is flatter in the dark.
 */

/** By how much a plain power of each of POWERS explains a frame worse than a bent curve, as the logarithm of a likelihood. */
export type CurveEvidence = {againstPowers: readonly number[]};

/** What the frames of one set of plates said, by file. */
export type LearnedCurve = Map<string, CurveEvidence>;

/** One frame doesn't say more than this, and all of them not more than so much. */
const MOST_OF_ONE = 8;
const MOST = 40;
/** Frames that are remembered, the last. */
const REMEMBERED = 24;
/** What is known beyond this doesn't change what a frame is taken for, however much more there is. */
const ENOUGH = 16;

const clamped = (value: number, most: number): number => Math.max(-most, Math.min(most, value));

/** Remembers what a frame said; a frame that is measured again counts once. */
export const learnFrom = (learned: LearnedCurve, file: string, evidence: CurveEvidence): void => {
  learned.delete(file);
  learned.set(file, evidence);
  for (const oldest of [...learned.keys()].slice(0, -REMEMBERED)) learned.delete(oldest);
};

/** What is known of the curve from all frames but this one. */
export const beliefFor = (learned: LearnedCurve, file: string): CurveBelief => {
  const others = [...learned].filter(([name]) => name !== file).map(([, evidence]) => evidence);
  const againstPowers = POWERS.map((_, n) =>
    clamped(
      others.reduce((sum, {againstPowers: own}) => sum + clamped(own[n]!, MOST_OF_ONE), 0),
      MOST,
    ),
  );
  return {...anyCurve, againstPowers};
};

/** Whether enough is known to tell a plain power from a bent curve. */
export const isTold = ({againstPowers}: CurveBelief): boolean => Math.abs(Math.min(...againstPowers)) >= ENOUGH;
