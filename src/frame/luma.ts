/** Weights of linear sRGB in luminance (IEC 61966-2-1). */
export const LUMA_R = 0.2126;
export const LUMA_G = 0.7152;
export const LUMA_B = 0.0722;
