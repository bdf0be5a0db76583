import type {Measurement} from '../../shared/reading.js';
import type {Ellipse, Zones} from '../../shared/zones.js';
import type {CurveBelief} from './curve/belief.js';
import {beliefFor, type CurveEvidence, type LearnedCurve, learnFrom} from './curve/learned-curve.js';
import {plainTable} from './curve/tone-curve.js';
import {type DecodedFrame, decodeFrame} from './decode/decode.js';
import {guessZones} from './guess-zones.js';
import {histogramOf} from './histogram.js';
import {curveEvidence, measureLight} from './measure-light.js';
import {missingOf} from './missing.js';
import type {PlateSet} from './plates.js';
import {type PreparedPlates, preparePlates} from './prepared-plates.js';
import {withoutScratch, withScratch} from './scratch.js';
import {luminanceOfEvery, toWork, type WorkImage, workFactor} from './work-image.js';

/** Every other pixel of every other row is enough to tell how levels are spread. */
const COUNTED = 2;

/** Measures one frame against the plates. */
export const measureFrame = async (
  file: string,
  plates: PlateSet | null,
  zones: Zones | null,
): Promise<Measurement> => {
  const belief = beliefFor(learnSitter(new Map(), plates, zones), file);
  return (await measureKnowing(belief, file, plates, zones)).measurement;
};

/**
 * The same where other frames say something of the tone curve.
 * @returns also what this frame says of it that holds for others; null where it says nothing
 */
export const measureKnowing = async (
  belief: CurveBelief,
  file: string,
  plates: PlateSet | null,
  zones: Zones | null,
): Promise<{measurement: Measurement; evidence: CurveEvidence | null}> => {
  const began = performance.now();
  const frame = await decodeFrame(file);
  const decodeMs = performance.now() - began;
  const face = faceFor(frame, plates, zones);
  const {measured, evidence} = withScratch(() => {
    const work = toWork(frame.image, workFactor(frame.image, face));
    const prepared = withoutScratch(() => preparedFor(plates ?? noPlates, work, face));
    const light = measureLight(work, prepared, belief);
    const histogram = histogramOf(luminanceOfEvery(COUNTED, work, plainTable));
    return {...light, measured: {...light.measured, histogram}};
  });
  const measurement: Measurement = {
    schema: 1,
    frame: {file: frame.label, width: frame.width, height: frame.height, ...frame.exif},
    ...measured,
    missing: missingOf(frame, plates, zones ?? plates?.zones ?? null, measured),
    timing: {decodeMs, measureMs: performance.now() - began - decodeMs},
  };
  return {measurement, evidence};
};

const noPlates: PlateSet = {dark: null, lights: [], sitter: null, zones: null};

const known = new WeakMap<PlateSet, {prepared: PreparedPlates; face: Ellipse}>();

/** The plates at a frame's size and for its face ellipse; kept for the next frame, which mostly has the same. */
const preparedFor = (plates: PlateSet, {width, height}: WorkImage, face: Ellipse): PreparedPlates => {
  const last = known.get(plates);
  const fits =
    last &&
    last.prepared.width === width &&
    last.prepared.height === height &&
    last.face.cx === face.cx &&
    last.face.cy === face.cy &&
    last.face.rx === face.rx &&
    last.face.ry === face.ry;
  if (fits) return last.prepared;
  const prepared = preparePlates(plates, width, height, face);
  known.set(plates, {prepared, face});
  return prepared;
};

/** No file is called so. */
const SITTER = '';
const sitters = new WeakMap<PlateSet, CurveEvidence | null>();

/**
 * Has the plate of the sitter say what it knows of the tone curve, before any frame does: on it every light is on, and
 * nothing else.
 * @param learned what frames said so far; is added to
 */
export const learnSitter = (learned: LearnedCurve, plates: PlateSet | null, zones: Zones | null): LearnedCurve => {
  if (!plates?.sitter) return learned;
  if (!sitters.has(plates)) sitters.set(plates, sitterSays(plates.sitter, plates, zones));
  const evidence = sitters.get(plates);
  if (evidence) learnFrom(learned, SITTER, evidence);
  return learned;
};

const sitterSays = (sitter: DecodedFrame, plates: PlateSet, zones: Zones | null): CurveEvidence | null => {
  const face = faceFor(sitter, plates, zones);
  return withScratch(() => {
    const work = toWork(sitter.image, workFactor(sitter.image, face));
    return curveEvidence(
      work,
      withoutScratch(() => preparedFor(plates, work, face)),
    );
  });
};

const faceFor = (frame: DecodedFrame, plates: PlateSet | null, zones: Zones | null): Ellipse =>
  zones?.face ?? plates?.zones?.face ?? guessZones(frame, plates).face;
