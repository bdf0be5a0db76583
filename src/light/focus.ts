import {inRange, LightFault, positive} from './fault.js';

/** The lens as it is set, and the sensor behind it. */
export type Optics = {
  focalMillimetres: number;
  fNumber: number;
  sensorWidthMillimetres: number;
  sensorHeightMillimetres: number;
};

const FULL_FRAME_DIAGONAL = Math.hypot(36, 24);

/**
 * The blur that counts as sharp: 0.030 mm on a sensor of 36 × 24 mm, in proportion to the diagonal on others.
 * @returns millimetres
 */
export const circleOfConfusion = (sensorWidthMillimetres: number, sensorHeightMillimetres: number): number =>
  (0.03 *
    Math.hypot(
      positive("The sensor's width", sensorWidthMillimetres, 'mm'),
      positive("The sensor's height", sensorHeightMillimetres, 'mm'),
    )) /
  FULL_FRAME_DIAGONAL;

/** What is sharp around the distance focused on. Metres from the camera; far is null for infinity. */
export type Depth = {nearMetres: number; farMetres: number | null; hyperfocalMetres: number};

/**
 * Depth of field: H = f²/(N·c) + f, near = s(H−f)/(H+s−2f), far = s(H−f)/(H−s), infinite when s ≥ H.
 * Source: the thin-lens formulas as encyclopaedias and the US Army's photography course SS0507 print them.
 * @param confusionMillimetres blur that counts as sharp
 * @throws LightFault for a distance nearer than the focal length
 */
export const depthOfField = (
  optics: Optics,
  distanceMetres: number,
  confusionMillimetres: number = circleOfConfusion(optics.sensorWidthMillimetres, optics.sensorHeightMillimetres),
): Depth => {
  const f = inRange('The focal length', positive('The focal length', optics.focalMillimetres, 'mm'), 0.1, 10_000, 'mm');
  const s = inRange('The focus distance', positive('The focus distance', distanceMetres, 'm'), 0, 100_000, 'm') * 1000;
  if (s <= f)
    throw new LightFault(
      `The focus distance is ${distanceMetres} m; a lens of ${f} mm can't focus nearer than its focal length.`,
    );
  const hyperfocal =
    (f * f) /
      (positive('The f-number', optics.fNumber) * positive('The circle of confusion', confusionMillimetres, 'mm')) +
    f;
  return {
    nearMetres: (s * (hyperfocal - f)) / (hyperfocal + s - 2 * f) / 1000,
    farMetres: s >= hyperfocal ? null : (s * (hyperfocal - f)) / (hyperfocal - s) / 1000,
    hyperfocalMetres: hyperfocal / 1000,
  };
};

/** How far the sitter may be off the mark and still be sharp, in centimetres towards the camera and away from it. */
export const depthAroundMark = (
  depth: Depth,
  distanceMetres: number,
): {frontCentimetres: number; behindCentimetres: number | null} => ({
  frontCentimetres: (distanceMetres - depth.nearMetres) * 100,
  behindCentimetres: depth.farMetres === null ? null : (depth.farMetres - distanceMetres) * 100,
});

/** Diameter of the Airy disc, micrometres: 2.44·λ·N at 550 nm. */
export const airyMicrometres = (fNumber: number): number => 2.44 * 0.55 * positive('The f-number', fNumber);

/**
 * Diameter of the blur of something at another distance than the focus, micrometres on the sensor:
 * f²·|x − s| / (N·x·(s − f)), the thin-lens geometry behind the depth of field.
 */
export const defocusMicrometres = (optics: Optics, focusMetres: number, subjectMetres: number): number => {
  const f = positive('The focal length', optics.focalMillimetres, 'mm');
  const s = positive('The focus distance', focusMetres, 'm') * 1000;
  const x = positive("The subject's distance", subjectMetres, 'm') * 1000;
  if (s <= f) throw new LightFault(`A lens of ${f} mm can't focus at ${focusMetres} m.`);
  return ((f * f * Math.abs(x - s)) / (positive('The f-number', optics.fNumber) * x * (s - f))) * 1000;
};

/** Blur that the eye accepts on a print seen from a quarter of a metre, millimetres (five line pairs a millimetre). From memory. */
const EYE_BLUR_AT_QUARTER_METRE = 0.2;

/** How large a picture may be printed before its blur shows. */
export type PrintLimit = {
  /** Blur on the sensor from defocus and diffraction together, micrometres. */
  blurMicrometres: number;
  /** Long side of the largest print that looks sharp from the viewing distance, metres. */
  longSideMetres: number;
  /** What sets the limit. */
  limitedBy: 'defocus' | 'diffraction';
};

/**
 * Largest print that still looks sharp, from the lens's own blur at the subject: defocus and the Airy disc added in
 * quadrature (the usual estimate). The sensor's pixels and movement come on top.
 * @param viewingMetres distance from which the print is looked at, > 0
 */
export const printLimit = (
  optics: Optics,
  focusMetres: number,
  subjectMetres: number,
  viewingMetres: number,
): PrintLimit => {
  const defocus = defocusMicrometres(optics, focusMetres, subjectMetres);
  const airy = airyMicrometres(optics.fNumber);
  const blurMicrometres = Math.hypot(defocus, airy);
  const allowedMillimetres = EYE_BLUR_AT_QUARTER_METRE * (positive('The viewing distance', viewingMetres, 'm') / 0.25);
  const longSide = Math.max(optics.sensorWidthMillimetres, optics.sensorHeightMillimetres);
  return {
    blurMicrometres,
    longSideMetres: ((allowedMillimetres * 1000) / blurMicrometres) * (longSide / 1000),
    limitedBy: defocus > airy ? 'defocus' : 'diffraction',
  };
};
