import type {Cell} from './pseudo-terminal.js';

/** Size of a cell: a half block is a square. */
const wide = 8;
const high = 16;

/** What a colour of a cell is where the terminal's own is meant: light grey on black. */
const hexOf = (colour: string, otherwise: string): string => {
  const found = /^rgb (\d+) (\d+) (\d+)$/.exec(colour);
  if (!found) return otherwise;
  const hex = found
    .slice(1)
    .map(value => Number(value).toString(16).padStart(2, '0'))
    .join('');
  return /^(.)\1(.)\2(.)\3$/.test(hex) ? `#${hex[0]}${hex[2]}${hex[4]}` : `#${hex}`;
};

const groundOf = (cell: Cell): string => hexOf(cell.background, '#000');
const inkOf = (cell: Cell): string => hexOf(cell.foreground, '#ccc');

const escaped = (text: string): string =>
  text.replaceAll('&', '&amp;').replaceAll('<', '&lt;').replaceAll('>', '&gt;').replaceAll('"', '&quot;');

/**
 * Part of a cell that a block sign fills with ink, from and to in eighths of its height; null for other signs.
 * Blocks are drawn as rectangles: fonts differ in them, and a picture would show seams.
 */
const filledEighths = (sign: string): [number, number] | null => {
  if (sign === '▀') return [0, 4];
  const code = sign.codePointAt(0) ?? 0;
  return sign.length === 1 && code >= 0x2581 && code <= 0x2588 ? [8 - (code - 0x2580), 8] : null;
};

type Box = {x: number; y: number; width: number; height: number; fill: string};

/** Boxes of one band of a row, a box for each run of one colour; null cells hold nothing. */
const runsOf = (fills: (string | null)[], y: number, height: number): Box[] => {
  const boxes: Box[] = [];
  fills.forEach((fill, column) => {
    if (fill === null) return;
    const last = boxes.at(-1);
    if (last && last.fill === fill && last.x + last.width === column * wide) last.width += wide;
    else boxes.push({x: column * wide, y, width: wide, height, fill});
  });
  return boxes;
};

/** Boxes of equal width and colour that stand on one another, made one. */
const stacked = (boxes: Box[]): Box[] => {
  const open = new Map<string, Box>();
  const made: Box[] = [];
  for (const box of boxes) {
    const key = `${box.x} ${box.width} ${box.fill}`;
    const above = open.get(key);
    if (above && above.y + above.height === box.y) above.height += box.height;
    else {
      open.set(key, box);
      made.push(box);
    }
  }
  return made;
};

const boxesOf = (row: Cell[], index: number, ground: string): Box[] => {
  const top = index * high;
  const half = (isUpper: boolean): (string | null)[] =>
    row.map(cell => {
      const isInk = cell.sign === '█' || cell.sign === (isUpper ? '▀' : '▄');
      const fill = isInk ? inkOf(cell) : groundOf(cell);
      return fill === ground ? null : fill;
    });
  const bars = row.flatMap((cell, column): Box[] => {
    const filled = filledEighths(cell.sign);
    if (!filled || '▀▄█'.includes(cell.sign)) return [];
    const height = ((filled[1] - filled[0]) * high) / 8;
    return [{x: column * wide, y: top + (filled[0] * high) / 8, width: wide, height, fill: inkOf(cell)}];
  });
  return [...runsOf(half(true), top, high / 2), ...runsOf(half(false), top + high / 2, high / 2), ...bars];
};

/** Words of one colour; a run ends at two spaces, so that it keeps its column in every font. */
const textOf = (row: Cell[], index: number): string => {
  const runs: {column: number; ink: string; text: string}[] = [];
  let last: (typeof runs)[number] | null = null;
  row.forEach((cell, column) => {
    const sign = cell.sign === '' || filledEighths(cell.sign) ? ' ' : cell.sign;
    const ink = inkOf(cell);
    if (sign === ' ' && (!last || last.text.endsWith(' '))) {
      last = null;
    } else if (last && (sign === ' ' || ink === last.ink)) {
      last.text += sign;
    } else {
      last = {column, ink, text: sign};
      runs.push(last);
    }
  });
  return runs
    .map(({column, ink, text}) => {
      const words = text.trimEnd();
      const width = [...words].length * wide;
      return `<text x="${column * wide}" y="${index * high + 12}" fill="${ink}" textLength="${width}">${escaped(words)}</text>`;
    })
    .join('\n');
};

/**
 * What stands on a terminal's screen as an SVG that needs nothing else.
 * @param cells row by row, all rows of one length
 * @param title what is seen, for who can't see it
 */
export const svgOf = (cells: Cell[][], title: string): string => {
  const width = (cells[0]?.length ?? 0) * wide;
  const height = cells.length * high;
  const ground = groundOf(cells[0]![0]!);
  const boxes = stacked(cells.flatMap((row, index) => boxesOf(row, index, ground)));
  const rects = boxes.map(
    ({x, y, width: w, height: h, fill}) => `<rect x="${x}" y="${y}" width="${w}" height="${h}" fill="${fill}"/>`,
  );
  const texts = cells.map(textOf).filter(text => text !== '');
  return `${[
    `<svg xmlns="http://www.w3.org/2000/svg" viewBox="-8 -8 ${width + 16} ${height + 16}" width="${width + 16}" height="${height + 16}" role="img">`,
    `<title>${escaped(title)}</title>`,
    `<rect x="-8" y="-8" width="${width + 16}" height="${height + 16}" fill="${ground}"/>`,
    `<g shape-rendering="crispEdges">`,
    ...rects,
    '</g>',
    '<g font-family="ui-monospace, DejaVu Sans Mono, Menlo, Consolas, monospace" font-size="13" lengthAdjust="spacingAndGlyphs">',
    ...texts,
    '</g>',
    '</svg>',
  ].join('\n')}\n`;
};
