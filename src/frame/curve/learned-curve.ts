import {TOE_TERM} from './basis.js';
import {anyCurve, anyShape, believing, type CurveBelief, ending, firmer, POWERS} from './belief.js';

/*
 * The plates and the frames of a shoot come from one camera with one setting for tones: else the plates would explain
 * nothing. What a frame with all its lights and no leak says of the tone curve therefore holds for the others too, on which
 * it can't be told: a leak on the wall looks like a curve that is flatter in the dark.
 */

/** What one frame says. */
export type CurveEvidence = {
  /** The bent curve's coordinates; null where the frame holds no sum of lights, which alone tells them. */
  z: readonly number[] | null;
  /** Whether these are of a curve that ends in a power; and the coordinates of one that ends otherwise; null if not asked. */
  endsInPower: boolean;
  otherwise: readonly number[] | null;
  /** By how much a curve that ends in a power explains it better, as the logarithm of a likelihood; 0 where not asked. */
  towardsPower: number;
  /** By how much a plain power of each of POWERS explains it worse than that curve, as the logarithm of a likelihood. */
  againstPowers: readonly number[];
};

/** What the frames of one set of plates said, by file. */
export type LearnedCurve = Map<string, CurveEvidence>;

/** One frame doesn't say more than this, and all of them not more than so much. */
const MOST_OF_ONE = 8;
const MOST = 40;
/** Frames that are remembered, the first: later ones were measured knowing what these said, and would only repeat it. */
const REMEMBERED = 8;

/** By how much the coordinates that two frames give differ, and how well they are known however many say the same. */
const Z_SIGMA = 0.3;
const LEAST_SIGMA = 0.2;
/** Frames that are enough to know them. */
export const ENOUGH_FRAMES = 2;

/**
 * What speaks for a curve that ends in a power must exceed this: few do. One frame doesn't say more than so much; beyond what
 * all say so it isn't asked any more.
 */
export const ENDS_IN_POWER = 1.2;
const MOST_OF_ONE_END = 4;
const UNDOUBTED = 12;

const clamped = (value: number, most: number): number => Math.max(-most, Math.min(most, value));

/** Remembers what a frame said; a frame that is measured again counts once. */
export const learnFrom = (learned: LearnedCurve, file: string, evidence: CurveEvidence): void => {
  if (learned.size < REMEMBERED) learned.set(file, evidence);
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
  const towardsPower = others.reduce((sum, own) => sum + clamped(own.towardsPower, MOST_OF_ONE_END), 0);
  const isAsked = Math.abs(towardsPower) < UNDOUBTED;
  const [plain, power] = [false, true].map(endsInPower => curveFrom(others, endsInPower));
  const [likelier, other] = towardsPower > ENDS_IN_POWER ? [power!, plain!] : [plain!, power!];
  const both = {againstPowers, towardsPower};
  return {...likelier, ...both, otherwise: isAsked ? {...other, ...both} : null};
};

/** What frames say of a curve that ends so. */
const curveFrom = (frames: readonly CurveEvidence[], endsInPower: boolean): CurveBelief => {
  const known = frames.flatMap(({z, otherwise, endsInPower: own}) => {
    const told = own === endsInPower ? z : otherwise;
    return told ? [told] : [];
  });
  // Each frame is a measurement with an error of its own, beside what curves usually are.
  const weight = 1 / Z_SIGMA ** 2;
  const precision = anyShape.precision.map(value => value * weight * known.length);
  const moment = anyCurve.z.map((_, term) => known.reduce((sum, z) => sum + weight * z[term]!, 0));
  const belief = believing(ending(anyCurve, endsInPower), {precision, moment});
  const firmest = 1 / LEAST_SIGMA ** 2 / (1 + weight * known.length);
  return {...firmer(belief, Math.min(1, firmest)), frames: known.length};
};

/** Whether what a frame says is what it would be taken for if the others were asked, or nearly; a toe the plates tell. */
export const agrees = ({z, againstPowers, endsInPower}: CurveBelief, evidence: CurveEvidence | null): boolean =>
  Math.min(...againstPowers) >= 0 &&
  evidence?.endsInPower === endsInPower &&
  (evidence.z?.every((value, term) => term === TOE_TERM || Math.abs(value - z[term]!) < Z_SIGMA) ?? false);
