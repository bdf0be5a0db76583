import type {Rig} from '../../shared/rig.js';
import type {Point} from './geometry.js';
import {lightFacts} from './rig-words.js';
import {type SetPlan, setPlan} from './set-plan.js';
import {printDistance} from './words.js';

/** A terminal's cell is about twice as high as wide. */
const CELL_SHAPE = 2;

type Canvas = {put(at: Point, mark: string): void; line(from: Point, to: Point, mark: string): void; rows(): string[]};

const canvasOf = (plan: SetPlan, columns: number, rows: number): Canvas => {
  const cells = Array.from({length: rows}, () => new Array<string>(columns).fill(' '));
  const metresPerRow = Math.max(
    (plan.back - plan.front) / Math.max(1, rows - 1),
    ((plan.right - plan.left) / Math.max(1, columns - 1)) * CELL_SHAPE,
  );
  const metresPerColumn = metresPerRow / CELL_SHAPE;
  // What is narrower than the canvas stands in its middle.
  const margin = (columns - 1 - (plan.right - plan.left) / metresPerColumn) / 2;
  const cell = (at: Point): [row: number, column: number] => [
    Math.round((plan.back - at.y) / metresPerRow),
    Math.round(margin + (at.x - plan.left) / metresPerColumn),
  ];
  const put = (at: Point, mark: string): void => {
    const [row, column] = cell(at);
    const line = cells[row];
    if (line && column >= 0 && column < columns) line[column] = mark;
  };
  return {
    put,
    line(from, to, mark) {
      const steps = Math.max(2, Math.ceil(Math.hypot(to.x - from.x, to.y - from.y) / metresPerColumn));
      for (let step = 0; step <= steps; step++) {
        const part = step / steps;
        put({x: from.x + (to.x - from.x) * part, y: from.y + (to.y - from.y) * part}, mark);
      }
    },
    rows: () => cells.map(line => line.join('').trimEnd()),
  };
};

const drawSet = (rig: Rig, columns: number, rows: number): string[] => {
  const plan = setPlan(rig);
  const canvas = canvasOf(plan, columns, rows);
  const {mark} = rig;
  const left = mark.leftWallMetres === null ? plan.left : -mark.leftWallMetres;
  const right = mark.rightWallMetres ?? plan.right;
  for (const {light, at, end} of plan.lights) {
    if (light.on) canvas.line(at, end, '·');
  }
  canvas.line({x: left, y: mark.backWallMetres}, {x: right, y: mark.backWallMetres}, '─');
  if (mark.leftWallMetres !== null) canvas.line({x: left, y: mark.backWallMetres}, {x: left, y: plan.front}, '│');
  if (mark.rightWallMetres !== null) canvas.line({x: right, y: mark.backWallMetres}, {x: right, y: plan.front}, '│');
  for (const {light, end, wall} of plan.lights) {
    if (light.on && wall) canvas.put(end, '▒');
  }
  canvas.put({x: 0, y: 0}, '×');
  canvas.put(plan.camera, '▲');
  for (const {light, at} of plan.lights) canvas.put(at, light.on ? light.id : light.id.toLowerCase());
  return canvas.rows();
};

/** Facts in lines no longer than this, broken between facts; what follows the first line is set in. */
const inLines = (head: string, facts: readonly string[], columns: number): string[] => {
  const lines: string[] = [];
  let current = head;
  for (const [index, fact] of facts.entries()) {
    const joined = index === 0 ? `${current}${fact}` : `${current}, ${fact}`;
    if (index > 0 && Array.from(joined).length > columns) {
      lines.push(`${current},`);
      current = `   ${fact}`;
    } else {
      current = joined;
    }
  }
  return [...lines, current].map(line => line.trimEnd());
};

/** The rig's facts, and what the marks of the drawing mean. */
const legend = (rig: Rig, columns: number): string[] => {
  const {mark} = rig;
  return [
    ...inLines(
      '',
      [
        `× mark, ▲ camera ${printDistance(mark.cameraDistanceMetres)}`,
        `back wall ${printDistance(mark.backWallMetres)}`,
        '▒ where a beam meets a wall',
      ],
      columns,
    ),
    ...setPlan(rig).lights.flatMap(drawn => inLines(`${drawn.light.id}  `, lightFacts(drawn), columns)),
  ];
};

const cut = (line: string, columns: number): string => {
  const letters = Array.from(line);
  return letters.length > columns ? letters.slice(0, columns).join('') : line;
};

/** Fewer rows than this leave no room for a drawing. */
const LEAST_DRAWING_ROWS = 5;

/**
 * The set from above as text: the back wall at the top, the camera at the bottom, the picture's left at the left.
 * @param columns width in cells, ≥ 1; no line is longer
 * @param rows height in cells, ≥ 1; where there is no room for a drawing, the facts alone are written
 */
export const drawRigText = (rig: Rig, columns: number, rows: number): string => {
  const facts = legend(rig, columns).map(line => cut(line, columns));
  const free = rows - facts.length;
  const drawing = free >= LEAST_DRAWING_ROWS && columns >= 20 ? drawSet(rig, columns, free) : [];
  return [...drawing, ...facts].slice(0, rows).join('\n');
};
