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

/**
 * Part of the snoot's light that reaches a point beside its axis: 1 in the full spot, 0 outside the outer one, and
 * straight between them (the true fall of the soft edge is a little rounder).
 * @param alongMetres from the flash along the beam
 * @param offMetres across the beam
 */
export const snootShare = (snoot: Snoot, alongMetres: number, offMetres: number): number => {
  const throwMetres = alongMetres - snoot.tubeMillimetres / 1000;
  if (!(throwMetres > 0)) return 0;
  const {fullMetres, outerMetres} = snootSpot(snoot, throwMetres);
  const full = (fullMetres ?? 0) / 2;
  const outer = outerMetres / 2;
  if (offMetres <= full) return 1;
  return offMetres >= outer ? 0 : (outer - offMetres) / (outer - full);
};
