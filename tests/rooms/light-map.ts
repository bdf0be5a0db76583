/** Linear light, scene-referred: 1 is full scale. RGB interleaved, row by row. */
export type LightMap = {width: number; height: number; data: Float32Array};

export const darkness = (width: number, height: number): LightMap => ({
  width,
  height,
  data: new Float32Array(width * height * 3),
});

/** Rec. 709 luminance of the pixel that starts at `offset`. */
export const luminanceAt = (data: Float32Array, offset: number): number =>
  0.2126 * data[offset]! + 0.7152 * data[offset + 1]! + 0.0722 * data[offset + 2]!;

/** Luminance of every pixel. */
export const luminanceOf = (map: LightMap): Float32Array => {
  const result = new Float32Array(map.width * map.height);
  for (let i = 0; i < result.length; i++) result[i] = luminanceAt(map.data, i * 3);
  return result;
};

/** Adds `gain` times a layer: light adds. */
export const addLight = (into: LightMap, layer: LightMap, gain: number): void => {
  if (gain === 0) return;
  for (let i = 0; i < into.data.length; i++) into.data[i]! += gain * layer.data[i]!;
};

export const smoothstep = (from: number, to: number, value: number): number => {
  const t = Math.min(1, Math.max(0, (value - from) / (to - from)));
  return t * t * (3 - 2 * t);
};

/** IEC 61966-2-1. */
export const encodeSrgb = (linear: number): number =>
  linear <= 0.0031308 ? 12.92 * linear : 1.055 * linear ** (1 / 2.4) - 0.055;

/** IEC 61966-2-1. */
export const decodeSrgb = (encoded: number): number =>
  encoded <= 0.04045 ? encoded / 12.92 : ((encoded + 0.055) / 1.055) ** 2.4;

/** Middle grey counts as 0 EV. */
export const evOf = (linear: number): number => Math.log2(linear / 0.18);
export const linearOf = (ev: number): number => 0.18 * 2 ** ev;
