import {sampleAt} from '../bilinear.js';
import type {PixelEllipse} from '../pixel-ellipse.js';
import {phaseCorrelation, type Spectrum, spectrumOf} from './phase-correlation.js';

/** Edge of the square that is correlated, in samples. */
const SIZE = 128;
/** How far it reaches beyond the head's larger half, so that a head that moved is still in it. */
const REACH = 1.5;

/** Half the square's edge in pixels of the plane. */
const halfEdge = (face: PixelEllipse, reach: number): number => reach * Math.max(face.rx, face.ry);

/**
 * The spectrum of a plane's neighbourhood of the head: levels in stops, so that a bright trail weighs no more than the
 * face, tapered towards the edges.
 * @param light linear luminance, a little smoothed
 * @param floor light below which differences don't count
 * @param reach half the square's edge in the head's larger half
 */
export const headSpectrum = (
  light: Float32Array,
  width: number,
  height: number,
  face: PixelEllipse,
  floor: number,
  reach = REACH,
): Spectrum => {
  const half = halfEdge(face, reach);
  const step = (2 * half) / SIZE;
  const values = new Float64Array(SIZE * SIZE);
  const taper = Float64Array.from({length: SIZE}, (_, i) => Math.sin((Math.PI * (i + 0.5)) / SIZE) ** 2);
  let sum = 0;
  let weights = 0;
  for (let y = 0, at = 0; y < SIZE; y++) {
    for (let x = 0; x < SIZE; x++, at++) {
      const px = face.cx - half + (x + 0.5) * step;
      const py = face.cy - half + (y + 0.5) * step;
      const value = Math.log2(floor + Math.max(0, sampleAt(light, width, height, px, py)));
      const weight = taper[x]! * taper[y]!;
      values[at] = value;
      sum += weight * value;
      weights += weight;
    }
  }
  const mean = sum / weights;
  for (let y = 0, at = 0; y < SIZE; y++) {
    for (let x = 0; x < SIZE; x++, at++) values[at] = (values[at]! - mean) * taper[x]! * taper[y]!;
  }
  return spectrumOf(values, SIZE);
};

export type CoarseShift = {dx: number; dy: number; peak: number};

/** The shift of the head from the plates to the frame in pixels, from their spectra. */
export const coarseShift = (plates: Spectrum, frame: Spectrum, face: PixelEllipse, reach = REACH): CoarseShift => {
  const {dx, dy, peak} = phaseCorrelation(plates, frame);
  const step = (2 * halfEdge(face, reach)) / SIZE;
  return {dx: dx * step, dy: dy * step, peak};
};
