import {boxMean} from '../box-mean.js';
import type {ToneTable} from '../curve/tone-curve.js';
import type {PixelEllipse} from '../pixel-ellipse.js';
import type {WorkImage} from '../work-image.js';
import {coarseShift, headSpectrum} from './coarse-shift.js';
import {
  difference,
  ellipseIn,
  type HeadWindow,
  type Smoothed,
  smoothedTwice,
  windowAbout,
  windowLuminance,
} from './head-window.js';
import type {Spectrum} from './phase-correlation.js';

/** Light below which differences on the head don't count when it is found. */
export const REGISTER_FLOOR = 0.004;

/** The head on the plates: each light's own luminance, and spectra of all lights together and of each alone. */
export type HeadPlates = {
  window: HeadWindow;
  /** The face ellipse in the window's pixels. */
  face: PixelEllipse;
  dark: Float32Array;
  lights: Smoothed[];
  spectra: Spectrum[];
  /** Where the head stands on each light's plate against the first one's, in the window's pixels. */
  offsets: Offset[];
  /** Where it stands on the dark plate, likewise; null where that is too dark to tell. */
  inDark: Offset | null;
  /** Where the head stands, likewise, on the plate on which the face ellipse was set; without one, about where it stood. */
  stand: Offset;
};

export type Offset = {dx: number; dy: number};

/** From which peak on two lights' plates show enough alike, and how far a head moves between plates, in half heights. */
const LEAST_PEAK = 0.1;
const FARTHEST_OFFSET = 0.25;
/** Between plates the face alone counts: the wall's pattern stood still. */
const FACE_ALONE = 1.05;

/**
 * How the sitter moved from plate to plate. Each plate is held against the one that is most like it among those that are
 * placed already; one that is like none is taken to stand where the first does.
 */
const offsetsOf = (alone: readonly Spectrum[], face: PixelEllipse): Offset[] => {
  const offsets: (Offset | null)[] = alone.map((_, k) => (k === 0 ? {dx: 0, dy: 0} : null));
  const shifts = alone.map((one, j) =>
    alone.map((other, k) => (k > j ? coarseShift(one, other, face, FACE_ALONE) : {dx: 0, dy: 0, peak: 0})),
  );
  for (let placed = 1; placed < alone.length; placed++) {
    let best: {k: number; offset: Offset; peak: number} | null = null;
    for (let j = 0; j < alone.length; j++) {
      const from = offsets[j];
      if (!from) continue;
      for (let k = 0; k < alone.length; k++) {
        if (offsets[k]) continue;
        const {dx, dy, peak} = j < k ? shifts[j]![k]! : shifts[k]![j]!;
        const sign = j < k ? 1 : -1;
        if (peak < LEAST_PEAK || Math.hypot(dx, dy) > FARTHEST_OFFSET * face.ry) continue;
        if (!best || peak > best.peak) best = {k, offset: {dx: from.dx + sign * dx, dy: from.dy + sign * dy}, peak};
      }
    }
    if (!best) break;
    offsets[best.k] = best.offset;
  }
  return offsets.map(offset => offset ?? {dx: 0, dy: 0});
};

/** Light below which differences on the dark plate don't count. */
const DARK_FLOOR = 0.0005;

/** How the head stands on the dark plate: it is held against the light's plate that is most like it. */
const darkOffset = (
  dark: Spectrum,
  faces: readonly Spectrum[],
  offsets: readonly Offset[],
  face: PixelEllipse,
): Offset | null => {
  let best: {offset: Offset; peak: number} | null = null;
  for (const [k, one] of faces.entries()) {
    const {dx, dy, peak} = coarseShift(one, dark, face, FACE_ALONE);
    if (peak < LEAST_PEAK || Math.hypot(dx, dy) > FARTHEST_OFFSET * face.ry) continue;
    if (!best || peak > best.peak) best = {offset: {dx: offsets[k]!.dx + dx, dy: offsets[k]!.dy + dy}, peak};
  }
  return best?.offset ?? null;
};

/** @param curve what is taken for the tone curve */
export const headPlates = (
  dark: WorkImage | null,
  lights: readonly WorkImage[],
  face: PixelEllipse,
  curve: ToneTable,
): HeadPlates => {
  const window = windowAbout(face);
  const {width, height} = window;
  const inWindow = ellipseIn(window, face);
  const darkPlane = dark ? windowLuminance(dark, window, curve) : new Float32Array(width * height);
  const smoothed = lights.map(image => {
    return smoothedTwice(difference(windowLuminance(image, window, curve), darkPlane), window);
  });
  const together = new Float32Array(width * height);
  for (const {smooth} of smoothed) {
    for (let at = 0; at < together.length; at++) together[at] = together[at]! + smooth[at]!;
  }
  const spectrum = (plane: Float32Array): Spectrum => headSpectrum(plane, width, height, inWindow, REGISTER_FLOOR);
  const alone = smoothed.length > 1 ? smoothed.map(({smooth}) => spectrum(smooth)) : [];
  const faceSpectrum = (plane: Float32Array, floor: number): Spectrum =>
    headSpectrum(plane, width, height, inWindow, floor, FACE_ALONE);
  const faces = smoothed.map(({smooth}) => faceSpectrum(smooth, REGISTER_FLOOR));
  const offsets = faces.length > 1 ? offsetsOf(faces, inWindow) : smoothed.map(() => ({dx: 0, dy: 0}));
  const darkFace = faceSpectrum(boxMean(darkPlane, width, height, 2), DARK_FLOOR);
  const meanOf = (pick: (offset: Offset) => number): number =>
    offsets.reduce((sum, offset) => sum + pick(offset), 0) / Math.max(1, offsets.length);
  return {
    window,
    face: inWindow,
    dark: darkPlane,
    lights: smoothed,
    spectra: [spectrum(together), ...alone],
    offsets,
    inDark: darkOffset(darkFace, faces, offsets, inWindow),
    stand: {dx: meanOf(({dx}) => dx), dy: meanOf(({dy}) => dy)},
  };
};

/** The head in a frame: its luminance beyond the dark plate's. */
export const headOf = (frame: WorkImage, {window, dark}: HeadPlates, curve: ToneTable): Smoothed => {
  return smoothedTwice(difference(windowLuminance(frame, window, curve), dark), window);
};
