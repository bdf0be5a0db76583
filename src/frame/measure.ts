import type {Measurement} from '../../shared/reading.js';
import type {Ellipse, Zones} from '../../shared/zones.js';
import {anyCurve, type CurveBelief} from './curve/belief.js';
import type {CurveEvidence} from './curve/learned-curve.js';
import {plainTable} from './curve/tone-curve.js';
import {decodeFrame} from './decode/decode.js';
import {guessZones} from './guess-zones.js';
import {histogramOf} from './histogram.js';
import {measureLight} from './measure-light.js';
import {missingOf} from './missing.js';
import type {PlateSet} from './plates.js';
import {type PreparedPlates, preparePlates} from './prepared-plates.js';
import {withoutScratch, withScratch} from './scratch.js';
import {luminanceOfEvery, toWork, type WorkImage, workFactor} from './work-image.js';

/** Every other pixel of every other row is enough to tell how levels are spread. */
const COUNTED = 2;

/** Measures one frame against the plates. */
export const measureFrame = async (file: string, plates: PlateSet | null, zones: Zones | null): Promise<Measurement> =>
  (await measureKnowing(anyCurve, file, plates, zones)).measurement;

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
  const face = zones?.face ?? plates?.zones?.face ?? guessZones(frame, plates).face;
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
