import type {SessionState} from '../../shoot/state.js';
import {planFields, planOf} from './plan-fields.js';
import {type Binding, bind, openDialog, toSession, toUi, type Ui} from './state.js';

/** Whether there are plates enough to show the next frame before it is shot. */
export const canForetell = ({shoot}: SessionState): boolean =>
  shoot.plates.some(plate => plate.plate === 'dark') && shoot.plates.some(plate => plate.plate.startsWith('light '));

/** The Plan's keys. */
export const planKeys = (ui: Ui, state: SessionState): Binding[] => {
  const plan = planOf(state, ui.plan.draft);
  const fields = planFields(plan);
  const row = Math.min(ui.plan.row, fields.length - 1);
  const field = fields[row]!;
  const toRow = (next: number) => toUi({kind: 'plan', change: {row: (next + fields.length) % fields.length}});
  const step = (steps: number) => toUi({kind: 'plan', change: {draft: field.step(plan, steps)}});
  const canProbe = state.camera.kind === 'connected' && state.camera.status.can.probe;
  return [
    {keys: ['up'], shown: '↑', say: 'the value above', often: false, effects: [toRow(row - 1)]},
    {keys: ['down'], shown: '↓', say: 'the value below', often: false, effects: [toRow(row + 1)]},
    {keys: ['left'], shown: '←', say: 'one step less', often: false, effects: [step(-1)]},
    {keys: ['right'], shown: '→', say: 'one step more', often: false, effects: [step(1)]},
    ...(canForetell(state)
      ? [
          bind(
            'e',
            ui.plan.expected ? 'the numbers' : 'the next frame',
            [toUi({kind: 'plan', change: {expected: !ui.plan.expected}})],
            true,
          ),
        ]
      : []),
    bind('v', 'the set from above', [openDialog({kind: 'drawing'})], true),
    bind('c', 'cue sheet', [openDialog({kind: 'cues', sheet: state.shoot.cues, row: 0})], true),
    ...(canProbe ? [bind('p', 'probe the room', [toSession({kind: 'probe the room'})], true)] : []),
  ];
};
