import type {SessionState} from '../../shoot/state.js';
import {type Binding, bind, openDialog, toSession, toUi, type Ui} from './state.js';

/** The keys of Wrap. */
export const wrapKeys = (ui: Ui, state: SessionState): Binding[] => {
  const folder = state.wrapPlan?.destination ?? null;
  const maybeToo = !ui.wrap.maybeToo;
  return [
    bind(
      'm',
      maybeToo ? 'take maybe too' : 'leave maybe here',
      [toUi({kind: 'wrap', change: {maybeToo}}), toSession({kind: 'plan wrap', folder, maybeToo})],
      true,
    ),
    bind('f', 'another folder', [openDialog({kind: 'folder', text: folder ?? ''})], true),
  ];
};
