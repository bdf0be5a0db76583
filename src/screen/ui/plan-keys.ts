import type {SessionState} from '../../shoot/state.js';
import {moreLines} from '../plan-more.js';
import {earlierRigs, planFields, planOf} from './plan-fields.js';
import {type Binding, bind, type Effect, openDialog, toSession, toUi, type Ui} from './state.js';

/** Whether there are plates enough to show the next frame before it is shot. */
export const canForetell = ({shoot}: SessionState): boolean =>
  shoot.plates.some(plate => plate.plate === 'dark') && shoot.plates.some(plate => plate.plate.startsWith('light '));

const arrow = (key: string, shown: string, say: string, effect: Effect): Binding => ({
  keys: [key],
  shown,
  say,
  often: false,
  effects: [effect],
});

/** The Plan's keys. */
export const planKeys = (ui: Ui, state: SessionState): Binding[] => {
  const plan = planOf(state, ui.plan.draft);
  const fields = planFields(plan, earlierRigs(state));
  const row = Math.min(ui.plan.row, fields.length - 1);
  const field = fields[row]!;
  const toRow = (next: number) => toUi({kind: 'plan', change: {row: (next + fields.length) % fields.length}});
  const step = (steps: number) => toUi({kind: 'plan', change: {draft: field.step(plan, steps)}});
  const {more} = ui.plan;
  const canProbe = state.camera.kind === 'connected' && state.camera.status.can.probe;
  const lines = more === null ? 0 : moreLines(state.shoot.exposure, plan).length;
  const toLine = (line: number) => toUi({kind: 'plan', change: {more: Math.max(0, Math.min(lines - 1, line))}});
  return [
    ...(more === null
      ? [
          arrow('up', '↑', 'the value above', toRow(row - 1)),
          arrow('down', '↓', 'the value below', toRow(row + 1)),
          arrow('left', '←', 'one step less', step(-1)),
          arrow('right', '→', 'one step more', step(1)),
        ]
      : [arrow('up', '↑', 'the line above', toLine(more - 1)), arrow('down', '↓', 'the line below', toLine(more + 1))]),
    bind(
      'm',
      more === null ? 'more' : 'the values',
      [toUi({kind: 'plan', change: {more: more === null ? 0 : null, expected: false}})],
      true,
    ),
    ...(canForetell(state)
      ? [
          bind(
            'e',
            ui.plan.expected ? 'the numbers' : 'the next frame',
            [toUi({kind: 'plan', change: {expected: !ui.plan.expected, more: null}})],
            true,
          ),
        ]
      : []),
    bind('v', 'the set from above', [openDialog({kind: 'drawing'})], true),
    bind('c', 'cue sheet', [openDialog({kind: 'cues', sheet: state.shoot.cues, row: 0})], true),
    ...(canProbe ? [bind('p', 'probe the room', [toSession({kind: 'probe the room'})], true)] : []),
  ];
};
