/** sRGB's decoding, code value 0..1 to linear light 0..1 (IEC 61966-2-1). */
export const srgbToLinear = (code: number): number =>
  code <= 0.04045 ? code / 12.92 : ((code + 0.055) / 1.055) ** 2.4;

/** Linear light 0..1 to an sRGB code value 0..1 (IEC 61966-2-1). */
export const linearToSrgb = (linear: number): number =>
  linear <= 0.0031308 ? 12.92 * linear : 1.055 * linear ** (1 / 2.4) - 0.055;
