import type {Picture} from '../../frame/picture.js';

/** Red of the brightest pixel at night: enough to judge a face by, too little to undo eyes that are used to the dark. */
const BRIGHTEST_RED = 205;

/** Luma of an sRGB pixel, 0 to 255 (ITU-R BT.709 weights on the coded values: for looking, not for measuring). */
export const lumaOf = (rgb: Uint8Array, offset: number): number =>
  0.2126 * rgb[offset]! + 0.7152 * rgb[offset + 1]! + 0.0722 * rgb[offset + 2]!;

/** Lifts the dark tones a little: red alone looks darker than the picture does. */
const LIFT = 0.75;

/** The picture in red alone, dimmed. */
export const nightPicture = (picture: Picture): Picture => {
  const rgb = new Uint8Array(picture.rgb.length);
  for (let offset = 0; offset + 2 < rgb.length; offset += 3) {
    rgb[offset] = Math.round((lumaOf(picture.rgb, offset) / 255) ** LIFT * BRIGHTEST_RED);
  }
  return {...picture, rgb};
};
