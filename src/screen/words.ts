import {printNumber} from '../light/words.js';

/*
 * How the screens say what src/light/words.ts does not: light, moments and lists.
 */

/** "EV −4.0": a light meter's reading at ISO 100. */
export const ev100Said = (ev100: number): string => `EV ${printNumber(ev100, 1)}`;

/** "21:04" of an ISO 8601 moment, in the machine's own zone; empty where it can't be read. */
export const clockSaid = (at: string): string => {
  const moment = new Date(at);
  if (Number.isNaN(moment.getTime())) return '';
  return `${String(moment.getHours()).padStart(2, '0')}:${String(moment.getMinutes()).padStart(2, '0')}`;
};

/** "a, b and c". */
export const listed = (items: readonly string[]): string =>
  items.length < 2 ? (items[0] ?? '') : `${items.slice(0, -1).join(', ')} and ${items.at(-1)}`;
