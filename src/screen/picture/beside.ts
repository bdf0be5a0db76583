import type {Picture} from '../../frame/picture.js';

/** Two pictures side by side with a black gap, as one. */
export const beside = (left: Picture, right: Picture, gap: number): Picture => {
  const width = left.width + gap + right.width;
  const height = Math.max(left.height, right.height);
  const rgb = new Uint8Array(3 * width * height);
  const copy = (picture: Picture, from: number): void => {
    for (let y = 0; y < picture.height; y++) {
      const row = picture.rgb.subarray(3 * y * picture.width, 3 * (y + 1) * picture.width);
      rgb.set(row, 3 * (y * width + from));
    }
  };
  copy(left, 0);
  copy(right, left.width + gap);
  return {width, height, rgb};
};
