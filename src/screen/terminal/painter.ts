import type {Depth} from './depth.js';

/** Something that lies over the cells of a frame: a picture. Cells are counted from 0. */
export type Overlay = {
  left: number;
  top: number;
  /** How many rows of cells it covers. */
  height: number;
  /** One text a row; empty for a sharper picture. */
  rows: string[];
  /** A sharper picture: what draws it (the cursor stands at its first cell) and what takes it away again. */
  sharp: {draw: string; erase: string} | null;
};

export type Painter = {
  /** The next frame, one line of text a row. It is painted soon, together with what else changes. */
  frame(text: string): void;
  overlay(overlay: Overlay | null): void;
  /** Black at once: every cell, and nothing else is drawn until it ends. */
  black(on: boolean): void;
  resize(columns: number, rows: number): void;
  /** Paints everything again from nothing. */
  repaint(): void;
  /** Paints now what waits. */
  flush(): void;
  /** Writes nothing any more, whatever arrives; takes a sharper picture away. */
  close(): void;
};

const CSI = '\u001b[';
const BEGIN = `${CSI}?2026h`;
const END = `${CSI}?2026l`;

/**
 * True black where the terminal has it. Also without colours (NO_COLOR): this is no decoration, a bright screen in an
 * open exposure would light the room.
 */
const blackBackground: Record<Depth, string> = {
  all: `${CSI}0;48;2;0;0;0m`,
  many: `${CSI}0;48;5;16m`,
  sixteen: `${CSI}0;40m`,
  none: `${CSI}0;40m`,
};

const at = (row: number, column: number): string => `${CSI}${row + 1};${column + 1}H`;

/**
 * Paints frames on the terminal: whole rows, only those that changed, each at its absolute place, so that nothing can
 * be left behind. It is the only one that writes to the terminal while the screens are shown.
 * @param write writes to the terminal
 * @param later calls back soon; what arrives until then is painted together
 */
export const createPainter = (options: {
  write(text: string): void;
  later(paint: () => void): void;
  columns: number;
  rows: number;
  depth: Depth;
}): Painter => {
  let {columns, rows} = options;
  let lines: string[] = [];
  let over: Overlay | null = null;
  let isBlack = false;
  let painted: string[] = [];
  let paintedSharp: Overlay['sharp'] = null;
  let fromNothing = true;
  let waiting = false;
  let closed = false;

  const paintBlack = (): void => {
    const row = ' '.repeat(columns);
    let out = `${BEGIN}${paintedSharp?.erase ?? ''}${CSI}?25l${blackBackground[options.depth]}`;
    for (let index = 0; index < rows; index++) out += at(index, 0) + row;
    options.write(`${out}${CSI}0m${blackBackground[options.depth]}${END}`);
    painted = [];
    paintedSharp = null;
    fromNothing = true;
  };

  const rowText = (index: number): string => {
    const line = `${CSI}0m${lines[index] ?? ''}`;
    const piece = over?.rows[index - over.top];
    return over && piece !== undefined ? `${line}${at(index, over.left)}${piece}` : line;
  };

  const paint = (): void => {
    waiting = false;
    if (isBlack || closed) return;
    let out = '';
    if (fromNothing) out += `${CSI}0m${CSI}2J`;
    const sharp = over?.sharp ?? null;
    const sharpChanged = fromNothing || sharp?.draw !== paintedSharp?.draw;
    if (sharpChanged && paintedSharp) out += paintedSharp.erase;
    let touched = sharpChanged;
    for (let index = 0; index < rows; index++) {
      const text = rowText(index);
      if (!fromNothing && text === painted[index]) continue;
      painted[index] = text;
      if (over && index >= over.top && index < over.top + over.height) touched = true;
      // Rows of a coloured frame fill their width; those of a plain one end early and need the rest wiped.
      out += `${at(index, 0)}${options.depth === 'none' ? `${CSI}0m${CSI}2K` : ''}${text}`;
    }
    if (sharp && over && touched) out += `${at(over.top, over.left)}${sharp.draw}`;
    paintedSharp = sharp;
    fromNothing = false;
    if (out !== '') options.write(`${BEGIN}${out}${CSI}0m${END}`);
  };

  const soon = (): void => {
    if (waiting) return;
    waiting = true;
    options.later(paint);
  };

  return {
    frame: text => {
      lines = text.split('\n');
      soon();
    },
    overlay: next => {
      over = next;
      soon();
    },
    black: on => {
      if (on === isBlack || closed) return;
      isBlack = on;
      if (on) paintBlack();
      else soon();
    },
    resize: (nextColumns, nextRows) => {
      columns = nextColumns;
      rows = nextRows;
      fromNothing = true;
      if (isBlack) paintBlack();
      else soon();
    },
    repaint: () => {
      fromNothing = true;
      if (isBlack) paintBlack();
      else soon();
    },
    flush: paint,
    close: () => {
      if (!closed && paintedSharp) options.write(paintedSharp.erase);
      closed = true;
    },
  };
};
