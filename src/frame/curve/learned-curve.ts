import {CURVE_KINDS, type CurveKind, TOE_TERM} from './basis.js';
import {anyCurve, anyShape, believing, type CurveBelief, firmer, ofKind, POWERS} from './belief.js';

/*
 * The plates and the frames of a shoot come from one camera with one setting for tones: else the plates would explain
 * nothing. What a frame with all its lights and no leak says of the tone curve therefore holds for the others too, on which
 * it can't be told: a leak on the wall looks like a curve that is flatter in the dark.
 */

/** What one frame says of one kind of curve: its coordinates, and what speaks against it, as the logarithm of a likelihood. */
export type KindEvidence = {z: readonly number[]; against: number};

/** What one frame says. */
export type CurveEvidence = {
  /** The kind of curve that it was measured with. */
  kind: CurveKind;
  /** Of each kind that was asked; null where the frame holds no sum of lights, which alone tells curves. */
  kinds: Readonly<Partial<Record<CurveKind, KindEvidence>>> | null;
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
 * What speaks against a kind of curve beforehand, as the logarithm of a likelihood. One frame doesn't say more against one
 * than so much; where all say so much, it isn't asked any more.
 */
export const BEFOREHAND: Readonly<Record<CurveKind, number>> = {contrast: 0, intoPower: 1.2, wide: 1.2};
const MOST_OF_ONE_KIND = 4;
const UNDOUBTED = 12;

const clamped = (value: number, most: number): number => Math.max(-most, Math.min(most, value));

/** A kind that wasn't tried was out of the question. */
const againstOf = (told: KindEvidence | undefined): number =>
  Math.min(MOST_OF_ONE_KIND, told?.against ?? MOST_OF_ONE_KIND);

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
  const against = (kind: CurveKind): number =>
    others.reduce((sum, {kinds}) => sum + (kinds ? againstOf(kinds[kind]) : 0), BEFOREHAND[kind]);
  const kinds = CURVE_KINDS.map(kind => ({kind, against: against(kind)})).toSorted((a, b) => a.against - b.against);
  const asked = kinds.filter(own => own.against - kinds[0]!.against < UNDOUBTED);
  const [likeliest, ...less] = asked.map(({kind}) => ({...curveFrom(others, kind), againstPowers}));
  return {...likeliest!, others: less};
};

/** What frames say of a curve of this kind. */
const curveFrom = (frames: readonly CurveEvidence[], kind: CurveKind): CurveBelief => {
  const known = frames.flatMap(({kinds}) => {
    const told = kinds?.[kind];
    return told ? [told.z] : [];
  });
  // Each frame is a measurement with an error of its own, beside what curves usually are.
  const weight = 1 / Z_SIGMA ** 2;
  const precision = anyShape.precision.map(value => value * weight * known.length);
  const moment = anyCurve.z.map((_, term) => known.reduce((sum, z) => sum + weight * z[term]!, 0));
  const belief = believing(ofKind(anyCurve, kind), {precision, moment});
  const firmest = 1 / LEAST_SIGMA ** 2 / (1 + weight * known.length);
  return {...firmer(belief, Math.min(1, firmest)), frames: known.length};
};

/** Whether what a frame says is what it would be taken for if the others were asked, or nearly; a toe the plates tell. */
export const agrees = ({z, againstPowers, kind}: CurveBelief, evidence: CurveEvidence | null): boolean =>
  Math.min(...againstPowers) >= 0 &&
  evidence?.kind === kind &&
  (evidence.kinds?.[kind]?.z.every((value, term) => term === TOE_TERM || Math.abs(value - z[term]!) < Z_SIGMA) ??
    false);
