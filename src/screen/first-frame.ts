import type {SessionState} from '../shoot/state.js';
import {layoutOf, MARGIN} from './layout.js';
import {cut} from './lines.js';
import {plain} from './plain.js';
import type {Depth} from './terminal/depth.js';

/** The day's ground, as src/screen/palette.ts has it. */
const ground: Record<Depth, string> = {
  all: '\u001b[48;2;23;19;14m',
  many: '\u001b[48;5;233m',
  sixteen: '\u001b[40m',
  none: '',
};

/**
 * What stands on the screen until the components are loaded: whose shoot it is. No key is named, for none works yet.
 */
export const firstFrame = (state: SessionState, columns: number, rows: number, depth: Depth): string => {
  const lines = new Array<string>(rows).fill('');
  lines[0] = ` ${cut(plain(state.shoot.name), columns - 2)}`;
  const next = rows - layoutOf(columns, rows).bottomRows;
  if (next > 1)
    lines[next] = `${' '.repeat(MARGIN)}  ${cut('One moment: the shoot is being opened.', columns - MARGIN - 3)}`;
  return lines.map(line => `${ground[depth]}${line.padEnd(depth === 'none' ? 0 : columns)}`).join('\n');
};
