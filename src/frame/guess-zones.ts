import type {Zones} from '../../shared/zones.js';
import type {DecodedFrame} from './decode/decode.js';
import {guessFace} from './guess-face.js';
import {luminanceOf} from './light-image.js';
import {linearTable, srgbToLinear, toLight} from './linearise.js';

/** A first guess of the face ellipse from what the flashes lit in this frame. */
export const guessZonesIn = ({image}: DecodedFrame): Zones => {
  const factor = Math.max(1, Math.round(Math.max(image.width, image.height) / 375));
  const light = toLight(image, linearTable(image.depth, srgbToLinear), factor);
  return {face: guessFace(luminanceOf(light), light.width, light.height)};
};
