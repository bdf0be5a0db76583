import type {Measurement} from '../../shared/reading.js';
import type {Zones} from '../../shared/zones.js';
import {agrees, beliefFor, type CurveEvidence, type LearnedCurve, learnFrom} from './curve/learned-curve.js';
import {learnSitter, measureKnowing} from './measure.js';
import type {PlateSet} from './plates.js';

/** A frame's measurement, or why there is none. */
export type Measured = {measurement: Measurement} | {error: unknown};

/**
 * Measures frames of one shoot. What they say of the camera's tone curve together holds for each: those that alone said
 * something else, or nothing, are measured again knowing it.
 * @returns one for each file, in their order
 */
export const measureFrames = async (
  files: readonly string[],
  plates: PlateSet | null,
  zones: Zones | null,
): Promise<Measured[]> => {
  const before = learnSitter(new Map(), plates, zones);
  const learned: LearnedCurve = new Map(before);
  const alone: (Measured & {evidence?: CurveEvidence | null})[] = [];
  for (const file of files) {
    const own = await outcome(measureKnowing(beliefFor(before, file), file, plates, zones));
    alone.push(own);
    if ('evidence' in own && own.evidence) learnFrom(learned, file, own.evidence);
  }
  const measured: Measured[] = [];
  for (const [n, file] of files.entries()) {
    const own = alone[n]!;
    const belief = beliefFor(learned, file);
    const isKnown = learned.size > before.size + (learned.has(file) ? 1 : 0);
    if ('error' in own || !isKnown || agrees(belief, own.evidence ?? null)) measured.push(own);
    else measured.push(await outcome(measureKnowing(belief, file, plates, zones)));
  }
  return measured;
};

type Outcome<Result> = Result | {error: unknown};

const outcome = async <Result>(measuring: Promise<Result>): Promise<Outcome<Result>> => {
  try {
    return await measuring;
  } catch (error) {
    return {error};
  }
};
