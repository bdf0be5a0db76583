import type {Check} from '../../shared/reading.js';
import {movesBetween} from '../judge/compare.js';
import {printNumber} from '../light/words.js';
import type {Attempt} from '../shoot/state.js';
import {type Markup, markup} from './markup.js';

/** One reading over the attempts, as its check kept it. */
export type GraphPoint = {attempt: number; value: number; state: Check['state']; changed: boolean};
export type ReadingGraph = {id: string; unit: string; points: GraphPoint[]};

/**
 * The readings that at least two attempts have, in the order in which they first appear.
 * @returns those that moved, and the names of those that stayed within what measuring and a person's hand repeat
 */
export const readingGraphs = (attempts: readonly Attempt[]): {moved: ReadingGraph[]; still: string[]} => {
  const graphs = new Map<string, ReadingGraph & {checks: Check[]}>();
  for (const attempt of attempts) {
    for (const check of attempt.reading?.checks ?? []) {
      const {id, value, state, unit} = check;
      if (value === null || !Number.isFinite(value)) continue;
      const graph = graphs.get(id) ?? {id, unit, points: [], checks: []};
      graph.points.push({attempt: attempt.number, value, state, changed: attempt.changes.length > 0});
      graph.checks.push(check);
      graphs.set(id, graph);
    }
  }
  const all = [...graphs.values()].filter(({points}) => points.length >= 2);
  return {moved: all.filter(hasMoved), still: all.filter(graph => !hasMoved(graph)).map(({id}) => id)};
};

/** Whether a reading's lowest and highest value, or two of its states, lie further apart than chance. */
const hasMoved = ({checks}: {checks: readonly Check[]}): boolean => {
  const rising = [...checks].sort((one, other) => one.value! - other.value!);
  return new Set(checks.map(({state}) => state)).size > 1 || movesBetween([rising[0]!], [rising.at(-1)!]).length > 0;
};

const WIDTH = 360;
const HEIGHT = 110;
const LEFT = 46;
const RIGHT = 12;
const TOP = 24;
const BOTTOM = 22;

/** A small line graph: ok is a dot, watch a ring, fail a cross; a tick below marks an attempt before which something changed. */
export const drawGraph = ({id, unit, points}: ReadingGraph): Markup => {
  const values = points.map(({value}) => value);
  const [low, high] = [Math.min(...values), Math.max(...values)];
  const [first, last] = [points[0]!.attempt, points.at(-1)!.attempt];
  const x = (attempt: number): number =>
    round(LEFT + ((attempt - first) / (last - first || 1)) * (WIDTH - LEFT - RIGHT));
  const y = (value: number): number =>
    round(HEIGHT - BOTTOM - ((value - low) / (high - low || 1)) * (HEIGHT - TOP - BOTTOM));
  const way = points.map(({attempt, value}) => `${x(attempt)},${y(value)}`).join(' ');
  return markup`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${WIDTH} ${HEIGHT}" width="${WIDTH}" height="${HEIGHT}" font-family="sans-serif" font-size="11" role="img">
<title>${id} over the attempts</title>
<text x="${LEFT}" y="13" font-size="13" font-weight="bold">${id}${unit && ` (${unit})`}</text>
<text x="${LEFT - 8}" y="${y(high) + 4}" text-anchor="end">${short(high, unit)}</text>
<text x="${LEFT - 8}" y="${y(low) + 4}" text-anchor="end">${short(low, unit)}</text>
<line x1="${LEFT}" y1="${HEIGHT - BOTTOM + 6}" x2="${WIDTH - RIGHT}" y2="${HEIGHT - BOTTOM + 6}" stroke="#bbb" />
${numbered(first, last).map(attempt => markup`<text x="${x(attempt)}" y="${HEIGHT - 3}" text-anchor="middle">${attempt}</text>`)}
<polyline points="${way}" fill="none" stroke="#444" stroke-width="1.5" />
${points.map(point => [pointMark(x(point.attempt), y(point.value), point.state), changeMark(x(point.attempt), point.changed)])}
</svg>
`;
};

const pointMark = (x: number, y: number, state: Check['state']): Markup => {
  if (state === 'ok') return markup`<circle cx="${x}" cy="${y}" r="3" fill="#111" />`;
  if (state === 'watch')
    return markup`<circle cx="${x}" cy="${y}" r="3.5" fill="#fff" stroke="#111" stroke-width="1.5" />`;
  return markup`<path d="M${x - 4} ${y - 4} l8 8 m0 -8 l-8 8" stroke="#111" stroke-width="2" />`;
};

const changeMark = (x: number, changed: boolean): Markup | null =>
  changed ? markup`<path d="M${x} ${HEIGHT - BOTTOM + 3} v6" stroke="#111" stroke-width="2" />` : null;

const round = (value: number): number => Math.round(value * 10) / 10;

/** The attempts whose numbers are written: all of a short shoot, else some, evenly. */
const numbered = (first: number, last: number): number[] => {
  const step = Math.ceil((last - first) / 12) || 1;
  return Array.from({length: Math.floor((last - first) / step) + 1}, (_, index) => first + index * step);
};

/** A value of the scale: what is a part of something, in percent. */
const short = (value: number, unit: string): string =>
  unit.startsWith('of ')
    ? `${printNumber(value * 100, Math.abs(value) < 0.1 ? 1 : 0)} %`
    : printNumber(value, Math.abs(value) >= 10 ? 0 : Math.abs(value) >= 1 ? 1 : 2);
