import {levelEv} from '../../shared/level.js';
import type {Measurement} from '../../shared/reading.js';
import type {Zones} from '../../shared/zones.js';
import {anyCurve} from './curve/belief.js';
import {plainTable} from './curve/tone-curve.js';
import {decodeFrame} from './decode/decode.js';
import {guessFace} from './guess-face.js';
import {measureLight} from './measure-light.js';
import type {PlateSet} from './plates.js';
import {luminanceThrough, type PreparedPlates, preparePlates} from './prepared-plates.js';
import {toWork, type WorkImage, workFactor} from './work-image.js';

/** Measures one frame against the plates. */
export const measureFrame = async (
  file: string,
  plates: PlateSet | null,
  zones: Zones | null,
): Promise<Measurement> => {
  const began = performance.now();
  const frame = await decodeFrame(file);
  const decodeMs = performance.now() - began;
  const missing: string[] = [];
  const work = toWork(frame.image, workFactor(frame.image));
  const luminance = luminanceThrough(work, plainTable);
  const face = zones?.face ?? plates?.zones?.face ?? guessFace(luminance, work.width, work.height);
  const counts = new Array<number>(60).fill(0);
  for (const value of luminance) {
    const bin = Math.min(59, Math.max(0, Math.floor((levelEv(Math.max(value, 1e-9)) + 12) / 0.25)));
    counts[bin] = counts[bin]! + 1;
  }
  const prepared = preparedFor(plates ?? {dark: null, lights: [], sitter: null, zones: null}, work);
  const light = measureLight(work, prepared, face, anyCurve);
  return {
    schema: 1,
    frame: {file: frame.label, width: frame.width, height: frame.height, ...frame.exif},
    ...light,
    histogram: {fromEv: -12, stepEv: 0.25, counts},
    missing,
    timing: {decodeMs, measureMs: performance.now() - began - decodeMs},
  };
};

const prepared = new WeakMap<PlateSet, PreparedPlates>();

const preparedFor = (plates: PlateSet, {width, height}: WorkImage): PreparedPlates => {
  const known = prepared.get(plates);
  if (known && known.width === width && known.height === height) return known;
  const fresh = preparePlates(plates, width, height);
  prepared.set(plates, fresh);
  return fresh;
};
