/** Weights of linear sRGB in luminance (IEC 61966-2-1). */
export const LUMA_R = 0.2126;
export const LUMA_G = 0.7152;
export const LUMA_B = 0.0722;

/** Luminance of three values (red, green, blue) that begin at a place. */
export const luminanceOf = (values: Float32Array, from: number): number =>
  LUMA_R * values[from]! + LUMA_G * values[from + 1]! + LUMA_B * values[from + 2]!;
