import type {ToneTable} from '../curve/tone-curve.js';
import type {PixelEllipse} from '../pixel-ellipse.js';
import type {WorkImage} from '../work-image.js';
import {headSpectrum} from './coarse-shift.js';
import {ellipseIn, type HeadWindow, type Smoothed, smoothedTwice, windowAbout, windowLuminance} from './head-window.js';
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
    const plane = windowLuminance(image, window, curve);
    return smoothedTwice(
      plane.map((value, at) => value - darkPlane[at]!),
      window,
    );
  });
  const together = new Float32Array(width * height);
  for (const {smooth} of smoothed) {
    for (let at = 0; at < together.length; at++) together[at] = together[at]! + smooth[at]!;
  }
  const alone = smoothed.length > 1 ? smoothed.map(({smooth}) => smooth) : [];
  return {
    window,
    face: inWindow,
    dark: darkPlane,
    lights: smoothed,
    spectra: [together, ...alone].map(plane => headSpectrum(plane, width, height, inWindow, REGISTER_FLOOR)),
  };
};

/** The head in a frame: its luminance beyond the dark plate's. */
export const headOf = (frame: WorkImage, {window, dark}: HeadPlates, curve: ToneTable): Smoothed => {
  const plane = windowLuminance(frame, window, curve);
  return smoothedTwice(
    plane.map((value, at) => value - dark[at]!),
    window,
  );
};
