import type {FlashLight} from '../../shared/rig.js';
import {LightFault} from './fault.js';
import {type SnootSpot, snootSpot} from './snoot.js';

/** Size of a grown person's head, metres: breadth from ear to ear, height from chin to crown. From memory. */
export const HEAD_BREADTH_METRES = 0.16;
export const HEAD_HEIGHT_METRES = 0.23;

/**
 * Spot of a snooted light on the sitter's face; null without a snoot.
 * @throws LightFault when the tube reaches past the face
 */
export const spotOnFace = (light: FlashLight): SnootSpot | null => {
  if (!light.snoot) return null;
  const throwMetres = light.distanceMetres - light.snoot.tubeMillimetres / 1000;
  if (throwMetres <= 0) {
    throw new LightFault(
      `Light ${light.id} stands ${light.distanceMetres} m from the face, and its snoot alone is ${light.snoot.tubeMillimetres / 1000} m long; check both.`,
    );
  }
  return snootSpot(light.snoot, throwMetres);
};

/** How far the sitter may sway before the lit spot and the face part, metres either way; null: no end in that direction. */
export type SwayMargin = {
  /** Whether the face lies wholly in the full light, or the spot wholly on the face. */
  covers: 'spot holds the face' | 'spot lies on the face';
  sidewaysMetres: number | null;
  toAndFroMetres: number | null;
};

/**
 * Sway that a snooted light allows. The beam minds only movement across it: a light from the side hardly notices
 * sideways sway and minds sway to and fro, by the sine and cosine of its angle. The head counts by its breadth.
 * @param spotMetres diameter of the full spot on the face
 * @param angleDegrees the light's angle, 0° from the camera
 */
export const swayMargin = (spotMetres: number, angleDegrees: number, faceMetres = HEAD_BREADTH_METRES): SwayMargin => {
  const across = Math.abs(spotMetres - faceMetres) / 2;
  const angle = (angleDegrees * Math.PI) / 180;
  const by = (part: number): number | null => (Math.abs(part) < 0.05 ? null : across / Math.abs(part));
  return {
    covers: spotMetres >= faceMetres ? 'spot holds the face' : 'spot lies on the face',
    sidewaysMetres: by(Math.cos(angle)),
    toAndFroMetres: by(Math.sin(angle)),
  };
};
