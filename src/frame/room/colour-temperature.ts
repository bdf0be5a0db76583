/** How far from the Planckian locus, in CIE 1960 uv, a colour may lie to have a temperature (CIE 15: 0.05). */
const FARTHEST_DUV = 0.05;
/** Kelvin within which McCamy's formula is meant to be used. */
const COLDEST = 1800;
const HOTTEST = 25_000;

/** McCamy 1992: correlated colour temperature in kelvin of a CIE 1931 chromaticity. Answers for any colour. */
export const mccamy = (x: number, y: number): number => {
  const n = (x - 0.332) / (y - 0.1858);
  return -449 * n ** 3 + 3525 * n ** 2 - 6823.3 * n + 5520.33;
};

/** Planckian locus in CIE 1960 uv, Krystek 1985: within 8·10⁻⁵ in u and 9·10⁻⁵ in v from 1000 to 15,000 K. */
export const planckianUv = (kelvin: number): {u: number; v: number} => {
  const t = kelvin;
  return {
    u: (0.860117757 + 1.54118254e-4 * t + 1.28641212e-7 * t * t) / (1 + 8.42420235e-4 * t + 7.08145163e-7 * t * t),
    v: (0.317398726 + 4.22806245e-5 * t + 4.20481691e-8 * t * t) / (1 - 2.89741816e-5 * t + 1.61456053e-7 * t * t),
  };
};

/** CIE 1931 xy of linear sRGB; null of black. */
export const chromaticity = (r: number, g: number, b: number): {x: number; y: number} | null => {
  // IEC 61966-2-1: linear sRGB to CIE 1931 XYZ.
  const x = 0.4124 * r + 0.3576 * g + 0.1805 * b;
  const y = 0.2126 * r + 0.7152 * g + 0.0722 * b;
  const z = 0.0193 * r + 0.1192 * g + 0.9505 * b;
  const sum = x + y + z;
  return sum > 0 ? {x: x / sum, y: y / sum} : null;
};

/**
 * Correlated colour temperature of linear sRGB light, to 10 K.
 * @returns null for black and for colours too far from the Planckian locus to have one
 */
export const colourTemperature = (r: number, g: number, b: number): number | null => {
  const xy = chromaticity(r, g, b);
  if (!xy) return null;
  const kelvin = mccamy(xy.x, xy.y);
  if (!(kelvin >= COLDEST && kelvin <= HOTTEST)) return null;
  const scale = 12 * xy.y - 2 * xy.x + 3;
  const locus = planckianUv(kelvin);
  const far = Math.hypot((4 * xy.x) / scale - locus.u, (6 * xy.y) / scale - locus.v);
  return far > FARTHEST_DUV ? null : Math.round(kelvin / 10) * 10;
};
