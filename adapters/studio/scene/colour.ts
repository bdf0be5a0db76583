/** Linear sRGB (Rec. 709 primaries). */
export type Rgb = readonly [number, number, number];

/** Relative luminance of linear sRGB: IEC 61966-2-1, Y = 0.2126 R + 0.7152 G + 0.0722 B. */
export const luminance = (r: number, g: number, b: number): number => 0.2126 * r + 0.7152 * g + 0.0722 * b;

/** Chromaticity of a black body, 1667 to 25000 K (Kim et al. 2002, cubic fit of the Planckian locus; from memory). */
const planckian = (kelvin: number): {x: number; y: number} => {
  const t = Math.min(25_000, Math.max(1667, kelvin));
  const u = 1000 / t;
  const x =
    t <= 4000
      ? -0.2661239 * u ** 3 - 0.234358 * u ** 2 + 0.8776956 * u + 0.17991
      : -3.0258469 * u ** 3 + 2.1070379 * u ** 2 + 0.2226347 * u + 0.24039;
  const y =
    t <= 2222
      ? -1.1063814 * x ** 3 - 1.3481102 * x ** 2 + 2.18555832 * x - 0.20219683
      : t <= 4000
        ? -0.9549476 * x ** 3 - 1.37418593 * x ** 2 + 2.09137015 * x - 0.16748867
        : 3.081758 * x ** 3 - 5.8733867 * x ** 2 + 3.75112997 * x - 0.37001483;
  return {x, y};
};

const blackBody = (kelvin: number): Rgb => {
  const {x, y} = planckian(kelvin);
  const big = x / y;
  const small = (1 - x - y) / y;
  return [
    3.2404542 * big - 1.5371385 - 0.4985314 * small,
    -0.969266 * big + 1.8760108 + 0.041556 * small,
    0.0556434 * big - 0.2040259 + 1.0572252 * small,
  ];
};

/**
 * The colour a light has in a frame whose white balance is set to `whiteKelvin`: linear sRGB of luminance 1, never
 * negative.
 */
export const lightColour = (kelvin: number, whiteKelvin: number): Rgb => {
  const light = blackBody(kelvin);
  const white = blackBody(whiteKelvin);
  const balanced = light.map((value, i) => Math.max(0.004, value / white[i]!)) as [number, number, number];
  const level = luminance(...balanced);
  return [balanced[0] / level, balanced[1] / level, balanced[2] / level];
};
