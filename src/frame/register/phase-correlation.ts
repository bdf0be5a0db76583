import FFT from 'fft.js';

/*
 * Phase correlation: the shift between two pictures from the phase of their cross-power spectrum (Kuglin and Hines 1975);
 * parts of a pixel from the peak's neighbours (Foroosh, Zerubia and Berthod 2002).
 */

/** A square picture's spectrum: complex, interleaved, row by row. */
export type Spectrum = {size: number; values: Float64Array};

export type Shift = {
  /** How far the second picture lies to the right of and below the first, in pixels. */
  dx: number;
  dy: number;
  /** Height of the correlation's peak: 1 for identical pictures, near 0 for unrelated ones. */
  peak: number;
};

/** Transforms by their size: what one is made of costs more than to use it. */
const transforms = new Map<number, {fft: FFT; line: Float64Array; out: Float64Array}>();
const transformOf = (size: number) => {
  let known = transforms.get(size);
  if (!known) {
    known = {fft: new FFT(size), line: new Float64Array(2 * size), out: new Float64Array(2 * size)};
    transforms.set(size, known);
  }
  return known;
};

const transform2d = ({size, values}: Spectrum, inverse: boolean): Spectrum => {
  const {fft, line, out} = transformOf(size);
  const result = new Float64Array(values.length);
  const run = (): void => {
    if (inverse) fft.inverseTransform(out, line);
    else fft.transform(out, line);
  };
  for (let y = 0; y < size; y++) {
    line.set(values.subarray(y * 2 * size, (y + 1) * 2 * size));
    run();
    result.set(out, y * 2 * size);
  }
  for (let x = 0; x < size; x++) {
    for (let y = 0; y < size; y++) {
      line[2 * y] = result[(y * size + x) * 2]!;
      line[2 * y + 1] = result[(y * size + x) * 2 + 1]!;
    }
    run();
    for (let y = 0; y < size; y++) {
      result[(y * size + x) * 2] = out[2 * y]!;
      result[(y * size + x) * 2 + 1] = out[2 * y + 1]!;
    }
  }
  return {size, values: result};
};

/**
 * @param picture size × size values, row by row, already tapered towards the edges
 * @param size a power of two
 */
export const spectrumOf = (picture: ArrayLike<number>, size: number): Spectrum => {
  const values = new Float64Array(size * size * 2);
  for (let at = 0; at < size * size; at++) values[2 * at] = picture[at]!;
  return transform2d({size, values}, false);
};

/** A peak's place between pixels from the larger of its two neighbours along one axis. */
const between = (before: number, peak: number, after: number): number => {
  const side = after > before ? 1 : -1;
  const next = Math.max(before, after);
  return next > 0 && peak > 0 ? (side * next) / (next + peak) : 0;
};

/** The shift that best turns the first picture into the second. */
export const phaseCorrelation = (first: Spectrum, second: Spectrum): Shift => {
  const {size} = first;
  const cross = new Float64Array(first.values.length);
  let power = 0;
  const one = first.values;
  const other = second.values;
  for (let at = 0; at < cross.length; at++) power += one[at]! * one[at]! + other[at]! * other[at]!;
  // Frequencies without any power have no phase worth counting.
  const floor = 1e-14 * power;
  for (let at = 0; at < cross.length; at += 2) {
    const ar = one[at]!;
    const ai = one[at + 1]!;
    const br = other[at]!;
    const bi = other[at + 1]!;
    const re = br * ar + bi * ai;
    const im = bi * ar - br * ai;
    const length = Math.sqrt(re * re + im * im);
    if (length <= floor) continue;
    cross[at] = re / length;
    cross[at + 1] = im / length;
  }
  const correlation = transform2d({size, values: cross}, true).values;
  let best = 0;
  for (let at = 0; at < size * size; at++) if (correlation[2 * at]! > correlation[2 * best]!) best = at;
  const x = best % size;
  const y = Math.floor(best / size);
  const value = (atX: number, atY: number): number =>
    correlation[2 * (((atY + size) % size) * size + ((atX + size) % size))]!;
  const peak = value(x, y);
  const dx = x + between(value(x - 1, y), peak, value(x + 1, y));
  const dy = y + between(value(x, y - 1), peak, value(x, y + 1));
  return {dx: dx > size / 2 ? dx - size : dx, dy: dy > size / 2 ? dy - size : dy, peak};
};
