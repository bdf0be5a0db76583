/** A picture of light: linear RGB, three numbers a pixel, 1 is the sensor's full scale. */
export type Light = {width: number; height: number; rgb: Float32Array};

export const darkness = (width: number, height: number): Light => ({
  width,
  height,
  rgb: new Float32Array(width * height * 3),
});

/** Adds `from`, each colour weighted, number by number; both have the same length. */
export const addWeighted = (to: Float32Array, from: Float32Array, weight: readonly [number, number, number]): void => {
  const [r, g, b] = weight;
  for (let i = 0; i < from.length; i += 3) {
    to[i] = to[i]! + from[i]! * r;
    to[i + 1] = to[i + 1]! + from[i + 1]! * g;
    to[i + 2] = to[i + 2]! + from[i + 2]! * b;
  }
};

/**
 * Adds a coarse picture, blended between its pixels, each of which is `step` pixels wide.
 * @param margin coarse pixels that lie outside the picture at the left and top
 */
export const addEnlarged = (to: Light, coarse: Light, step: number, margin: number, part = 1): void => {
  for (let y = 0; y < to.height; y += 1) {
    const sy = Math.min(coarse.height - 1.001, Math.max(0, (y + 0.5) / step - 0.5 + margin));
    const iy = Math.floor(sy);
    const fy = sy - iy;
    for (let x = 0; x < to.width; x += 1) {
      const sx = Math.min(coarse.width - 1.001, Math.max(0, (x + 0.5) / step - 0.5 + margin));
      const ix = Math.floor(sx);
      const fx = sx - ix;
      const a = (iy * coarse.width + ix) * 3;
      const b = a + coarse.width * 3;
      const at = (y * to.width + x) * 3;
      for (let c = 0; c < 3; c += 1) {
        const above = coarse.rgb[a + c]! + (coarse.rgb[a + c + 3]! - coarse.rgb[a + c]!) * fx;
        const under = coarse.rgb[b + c]! + (coarse.rgb[b + c + 3]! - coarse.rgb[b + c]!) * fx;
        to.rgb[at + c] = to.rgb[at + c]! + part * (above + (under - above) * fy);
      }
    }
  }
};
