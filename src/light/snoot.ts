import type {Snoot} from '../../shared/rig.js';
import {positive} from './fault.js';

/** What a snoot lights on a plane across its beam. Diameters in metres. */
export type SnootSpot = {
  /** Diameter of the part that sees the whole source; null when no point does. */
  fullMetres: number | null;
  /** Diameter beyond which there is no light. */
  outerMetres: number;
  /** Width of the soft edge. */
  penumbraMetres: number;
  /** Part of the source's area that the middle of the spot sees, 0 to 1. */
  sourceSeen: number;
};

/**
 * Spot of a black tube on a source: full Ø = a + (a−s)·D/L, outer Ø = a + (a+s)·D/L, penumbra s·D/L. Source: similar
 * triangles, the geometry of radiographic unsharpness.
 * @param throwMetres from the tube's exit to the face, > 0
 * @throws LightFault
 */
export const snootSpot = (snoot: Snoot, throwMetres: number): SnootSpot => {
  const a = positive("The snoot's exit", snoot.exitMillimetres, 'mm') / 1000;
  const length = positive("The snoot's tube", snoot.tubeMillimetres, 'mm') / 1000;
  const s = snoot.sourceMillimetres / 1000;
  const ratio = positive('The throw from the snoot', throwMetres, 'm') / length;
  const full = a + (a - s) * ratio;
  const seenDiameter = (a * (throwMetres + length)) / throwMetres;
  return {
    fullMetres: full > 0 ? full : null,
    outerMetres: a + (a + s) * ratio,
    penumbraMetres: s * ratio,
    sourceSeen: s === 0 ? 1 : Math.min(1, (seenDiameter / s) ** 2),
  };
};

/** Area that two circles share. Source: plane geometry, two circular segments. */
const sharedArea = (r1: number, r2: number, apart: number): number => {
  if (apart >= r1 + r2) return 0;
  const small = Math.min(r1, r2);
  if (apart <= Math.abs(r1 - r2)) return Math.PI * small * small;
  const segment = (own: number, other: number): number =>
    own * own * Math.acos(Math.max(-1, Math.min(1, (apart * apart + own * own - other * other) / (2 * apart * own))));
  const kite = (-apart + r1 + r2) * (apart + r1 - r2) * (apart - r1 + r2) * (apart + r1 + r2);
  return segment(r1, r2) + segment(r2, r1) - Math.sqrt(Math.max(0, kite)) / 2;
};

/**
 * Part of the source's area that a point sees through the tube: 1 in the full spot, 0 outside the outer one. The exit,
 * seen from the point, is a circle on the source's plane; what both circles share lights the point (an evenly bright,
 * round source and a black tube).
 * @param alongMetres from the flash along the beam
 * @param offMetres across the beam
 */
export const snootShare = (snoot: Snoot, alongMetres: number, offMetres: number): number => {
  const length = snoot.tubeMillimetres / 1000;
  const throwMetres = alongMetres - length;
  if (!(throwMetres > 0)) return 0;
  const source = snoot.sourceMillimetres / 2000;
  const exit = ((snoot.exitMillimetres / 2000) * alongMetres) / throwMetres;
  const apart = (offMetres * length) / throwMetres;
  // A source under a thousandth of a millimetre is a point.
  if (source < 1e-6) return apart <= exit ? 1 : 0;
  return Math.min(1, sharedArea(source, exit, apart) / (Math.PI * source * source));
};
