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
