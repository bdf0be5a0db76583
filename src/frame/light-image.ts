/**
 * A picture in linear light: one plane a channel (sRGB primaries), row by row, fractions of full scale (0 black, 1 the
 * file's brightest value).
 */
export type LightImage = {width: number; height: number; r: Float32Array; g: Float32Array; b: Float32Array};

export const newLightImage = (width: number, height: number): LightImage => ({
  width,
  height,
  r: new Float32Array(width * height),
  g: new Float32Array(width * height),
  b: new Float32Array(width * height),
});

/** Weights of linear sRGB in luminance (IEC 61966-2-1). */
export const LUMA_R = 0.2126;
export const LUMA_G = 0.7152;
export const LUMA_B = 0.0722;

/** Linear luminance of every pixel. */
export const luminanceOf = ({r, g, b}: LightImage): Float32Array => {
  const luminance = new Float32Array(r.length);
  for (let at = 0; at < r.length; at++) luminance[at] = LUMA_R * r[at]! + LUMA_G * g[at]! + LUMA_B * b[at]!;
  return luminance;
};
