import type {PlateName} from '../../../shared/journal.js';
import type {Ellipse} from '../../../shared/zones.js';
import {wantedPlates} from '../../shoot/plate-names.js';
import type {SessionState} from '../../shoot/state.js';
import {type Binding, bind, type Effect, toSession, toUi, type Ui} from './state.js';

/** Where an outline starts that nobody guessed: a head in the upper middle. */
const someHead: Ellipse = {cx: 0.5, cy: 0.4, rx: 0.1, ry: 0.2};

const STEP = 0.005;
const clamp = (value: number, least: number, most: number): number => Math.max(least, Math.min(most, value));
const round = (value: number): number => Math.round(value * 1e4) / 1e4;

const moved = (ellipse: Ellipse, dx: number, dy: number): Ellipse => ({
  ...ellipse,
  cx: round(clamp(ellipse.cx + dx * STEP, 0, 1)),
  cy: round(clamp(ellipse.cy + dy * STEP, 0, 1)),
});

const sized = (ellipse: Ellipse, dx: number, dy: number): Ellipse => ({
  ...ellipse,
  rx: round(clamp(ellipse.rx + dx * STEP, 0.01, 0.6)),
  ry: round(clamp(ellipse.ry - dy * STEP, 0.01, 0.6)),
});

/** The plate that is looked at: the chosen one, or the next to take, or the last. */
export const chosenPlate = (ui: Ui, state: SessionState): PlateName => {
  const plates = wantedPlates(state.shoot.rig);
  const next = plates.find(plate => !state.shoot.plates.some(taken => taken.plate === plate));
  return (ui.plates.row === null ? next : plates[ui.plates.row]) ?? plates.at(-1)!;
};

const ellipseKeys = (ui: Ui, ellipse: Ellipse): Binding[] => {
  const to = (next: Ellipse): Effect => toUi({kind: 'plates', change: {ellipse: next}});
  const arrow = (name: string, shown: string, dx: number, dy: number, move: string, size: string): Binding[] => {
    const sizing = ui.plates.sizing;
    return [
      {
        keys: [name],
        shown,
        say: sizing ? size : move,
        often: false,
        effects: [to(sizing ? sized(ellipse, dx, dy) : moved(ellipse, dx, dy))],
      },
      {
        keys: [`shift ${name}`],
        shown: `shift ${shown}`,
        say: size,
        often: false,
        effects: [to(sized(ellipse, dx, dy))],
      },
    ];
  };
  return [
    ...arrow('left', '←', -1, 0, 'to the left', 'narrower'),
    ...arrow('right', '→', 1, 0, 'to the right', 'wider'),
    ...arrow('up', '↑', 0, -1, 'up', 'taller'),
    ...arrow('down', '↓', 0, 1, 'down', 'shorter'),
    {
      keys: ['tab'],
      shown: 'Tab',
      say: ui.plates.sizing ? 'arrows move it' : 'arrows size it',
      often: true,
      effects: [toUi({kind: 'plates', change: {sizing: !ui.plates.sizing}})],
    },
  ];
};

/** The keys of Plates. */
export const platesKeys = (ui: Ui, state: SessionState): Binding[] => {
  const ellipse = ui.plates.ellipse ?? state.proposedZones?.face ?? null;
  if (ellipse) return ellipseKeys(ui, ellipse);
  const plates = wantedPlates(state.shoot.rig);
  const plate = chosenPlate(ui, state);
  const row = plates.indexOf(plate);
  const toRow = (next: number): Effect => toUi({kind: 'plates', change: {row: (next + plates.length) % plates.length}});
  const taken = state.shoot.plates.some(candidate => candidate.plate === plate);
  const can = state.camera.kind === 'connected' ? state.camera.status.can : null;
  const outline = state.shoot.zones?.face ?? someHead;
  return [
    {keys: ['up'], shown: '↑', say: 'the plate above', often: false, effects: [toRow(row - 1)]},
    {keys: ['down'], shown: '↓', say: 'the plate below', often: false, effects: [toRow(row + 1)]},
    bind('r', `take the ${plate} plate${taken ? ' again' : ''}`, [toSession({kind: 'take plate', plate})], true),
    ...(state.shoot.plates.length > 0
      ? [bind('h', 'set the head', [toUi({kind: 'plates', change: {ellipse: outline, sizing: false}})], true)]
      : []),
    ...(can?.focusDrive ? [bind('f', 'focus', [toSession({kind: 'focus', step: 'drive'})], true)] : []),
    bind('l', 'lock the focus', [toSession({kind: 'focus', step: 'lock'})], true),
  ];
};
