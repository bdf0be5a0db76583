import type {Picture} from '../../frame/picture.js';

/** Steps of each primary in the picture's palette: 6 × 7 × 6 colours fit into the 256 that every sixel terminal has. */
const STEPS = [6, 7, 6] as const;
const RED_STEPS = 64;

type Table = {colours: [number, number, number][]; indexOf(red: number, green: number, blue: number): number};

const colourTable = (): Table => {
  const colours: [number, number, number][] = [];
  for (let red = 0; red < STEPS[0]; red++) {
    for (let green = 0; green < STEPS[1]; green++) {
      for (let blue = 0; blue < STEPS[2]; blue++) {
        colours.push([red / (STEPS[0] - 1), green / (STEPS[1] - 1), blue / (STEPS[2] - 1)]);
      }
    }
  }
  const step = (value: number, steps: number): number => Math.round((value / 255) * (steps - 1));
  return {
    colours,
    indexOf: (red, green, blue) =>
      (step(red, STEPS[0]) * STEPS[1] + step(green, STEPS[1])) * STEPS[2] + step(blue, STEPS[2]),
  };
};

const redTable = (): Table => ({
  colours: Array.from({length: RED_STEPS}, (_, index) => [index / (RED_STEPS - 1), 0, 0]),
  indexOf: red => Math.round((red / 255) * (RED_STEPS - 1)),
});

/** Ordered dither (Bayer 1973, 4×4), so that few colours don't show as bands; −0.5 to 0.5 of a step. */
const bayer = [0, 8, 2, 10, 12, 4, 14, 6, 3, 11, 1, 9, 15, 7, 13, 5].map(value => (value + 0.5) / 16 - 0.5);

const clamp = (value: number): number => Math.max(0, Math.min(255, value));

const runs = (bits: Uint8Array): string => {
  let out = '';
  for (let x = 0; x < bits.length; ) {
    let end = x + 1;
    while (end < bits.length && bits[end] === bits[x]) end++;
    const sign = String.fromCharCode(63 + bits[x]!);
    out += end - x > 3 ? `!${end - x}${sign}` : sign.repeat(end - x);
    x = end;
  }
  return out;
};

/**
 * A picture as DEC sixels.
 * @param red whether the picture is in red alone, which then gets all the steps
 */
export const sixelPicture = (picture: Picture, red: boolean): {draw: string; erase: string} => {
  const table = red ? redTable() : colourTable();
  const {width, height, rgb} = picture;
  const spread = red ? [255 / RED_STEPS, 0, 0] : STEPS.map(steps => 255 / steps);
  const percent = (value: number): number => Math.round(value * 100);
  const out = [`\u001bP0;1;0q"1;1;${width};${height}`];
  for (const [index, colour] of table.colours.entries()) out.push(`#${index};2;${colour.map(percent).join(';')}`);
  for (let top = 0; top < height; top += 6) {
    const band = new Map<number, Uint8Array>();
    for (let y = top; y < Math.min(top + 6, height); y++) {
      for (let x = 0; x < width; x++) {
        const offset = 3 * (y * width + x);
        const shift = bayer[4 * (y % 4) + (x % 4)]!;
        const index = table.indexOf(
          clamp(rgb[offset]! + shift * spread[0]!),
          clamp(rgb[offset + 1]! + shift * spread[1]!),
          clamp(rgb[offset + 2]! + shift * spread[2]!),
        );
        let bits = band.get(index);
        if (!bits) {
          bits = new Uint8Array(width);
          band.set(index, bits);
        }
        bits[x]! |= 1 << (y - top);
      }
    }
    out.push([...band].map(([index, bits]) => `#${index}${runs(bits)}`).join('$'), '-');
  }
  // Cells that are written again take sixels away by themselves.
  return {draw: `${out.join('')}\u001b\\`, erase: ''};
};
