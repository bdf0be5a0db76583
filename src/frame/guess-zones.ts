import type {Zones} from '../../shared/zones.js';
import {plainTable} from './curve/tone-curve.js';
import type {DecodedFrame} from './decode/decode.js';
import {guessFace} from './guess-face.js';
import type {PlateSet} from './plates.js';
import {luminanceThrough, toWork} from './work-image.js';

/** A first guess of the face ellipse from what the flashes lit in this frame. */
export const guessZonesIn = ({image}: DecodedFrame): Zones => {
  const factor = Math.max(1, Math.round(Math.max(image.width, image.height) / 375));
  const small = toWork(image, factor);
  return {face: guessFace(luminanceThrough(small, plainTable), small.width, small.height)};
};

/** The same from the plate that shows the head best; a frame's own trail is easily taken for it. */
export const guessZones = (frame: DecodedFrame, plates: PlateSet | null): Zones =>
  guessZonesIn(plates?.sitter ?? plates?.lights.at(-1)?.frame ?? frame);
