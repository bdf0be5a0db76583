import {bytes} from '../scratch.js';

/** Marks every pixel within a square of (2·radius + 1)² around a marked one. */
export const dilated = (mask: Uint8Array, width: number, height: number, radius: number): Uint8Array => {
  const across = bytes(mask.length);
  const out = bytes(mask.length);
  for (let y = 0; y < height; y++) {
    const row = y * width;
    let until = -1;
    for (let x = 0; x < Math.min(radius, width); x++) if (mask[row + x]) until = x + radius;
    for (let x = 0; x < width; x++) {
      const ahead = x + radius;
      if (ahead < width && mask[row + ahead]) until = ahead + radius;
      if (x <= until) across[row + x] = 1;
    }
  }
  const until = new Int32Array(width).fill(-1);
  for (let y = 0; y < Math.min(radius, height); y++) {
    for (let x = 0; x < width; x++) if (across[y * width + x]) until[x] = y + radius;
  }
  for (let y = 0; y < height; y++) {
    const ahead = y + radius;
    for (let x = 0; x < width; x++) {
      if (ahead < height && across[ahead * width + x]) until[x] = ahead + radius;
      if (y <= until[x]!) out[y * width + x] = 1;
    }
  }
  return out;
};

/** The same for squares of 3 × 3 pixels around a few marked ones. */
export const squaresAround = (pixels: Int32Array, width: number, height: number): Uint8Array => {
  const out = bytes(width * height);
  for (let i = 0; i < pixels.length; i++) {
    const at = pixels[i]!;
    const x = at % width;
    const left = x > 0 ? 1 : 0;
    const right = x < width - 1 ? 1 : 0;
    for (let row = Math.max(x, at - width); row <= at + width && row < out.length; row += width) {
      for (let near = row - left; near <= row + right; near++) out[near] = 1;
    }
  }
  return out;
};
