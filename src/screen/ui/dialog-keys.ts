import {type CueSheet, usualCueSheet} from '../../../shared/cues.js';
import type {SessionState} from '../../shoot/state.js';
import {limitFields, usualLimit, withLimit} from './limit-fields.js';
import {type Binding, bind, type Dialog, type Effect, openDialog} from './state.js';

const arrow = (keys: string[], shown: string, say: string, effect: Effect): Binding => ({
  keys,
  shown,
  say,
  often: false,
  effects: [effect],
});

const clamp = (value: number, least: number, most: number): number => Math.max(least, Math.min(most, value));

type Series = Extract<Dialog, {kind: 'series'}>;

const seriesKeys = (dialog: Series): Binding[] => {
  const rows = 3;
  const step = (by: number): Effect => {
    if (dialog.row === 0) return openDialog({...dialog, count: clamp(dialog.count + by, 1, 50)});
    if (dialog.row === 1) return openDialog({...dialog, pauseSeconds: clamp(dialog.pauseSeconds + by * 5, 5, 300)});
    return openDialog({...dialog, untilPassed: !dialog.untilPassed});
  };
  return [
    arrow(['up'], '↑', 'the value above', openDialog({...dialog, row: (dialog.row + rows - 1) % rows})),
    arrow(['down'], '↓', 'the value below', openDialog({...dialog, row: (dialog.row + 1) % rows})),
    arrow(['left'], '←', 'less', step(-1)),
    arrow(['right'], '→', 'more', step(1)),
  ];
};

const sounds = ['tone', 'speech', 'both', 'none'] as const;

/** The sheet with its row changed: row 0 is the countdown, the others are cues. */
const withRow = (sheet: CueSheet, row: number, steps: number): CueSheet => {
  if (row === 0) return {...sheet, countdownSeconds: clamp(sheet.countdownSeconds + steps, 0, 120)};
  return {
    ...sheet,
    cues: sheet.cues.map((cue, index) =>
      index === row - 1
        ? {...cue, atSeconds: clamp(Math.round((cue.atSeconds + steps * 0.1) * 10) / 10, -600, 3600)}
        : cue,
    ),
  };
};

const withSound = (sheet: CueSheet, row: number): CueSheet => ({
  ...sheet,
  cues: sheet.cues.map((cue, index) =>
    index === row - 1 ? {...cue, sound: sounds[(sounds.indexOf(cue.sound) + 1) % sounds.length]!} : cue,
  ),
});

const cueKeys = (dialog: Extract<Dialog, {kind: 'cues'}>, state: SessionState): Binding[] => {
  const rows = dialog.sheet.cues.length + 1;
  const {sheet, row} = dialog;
  const step = (by: number): Effect => openDialog({...dialog, sheet: withRow(sheet, row, by)});
  const {shutterSeconds} = state.shoot.exposure;
  return [
    arrow(['up'], '↑', 'the cue above', openDialog({...dialog, row: (row + rows - 1) % rows})),
    arrow(['down'], '↓', 'the cue below', openDialog({...dialog, row: (row + 1) % rows})),
    arrow(['left'], '←', 'earlier', step(-1)),
    arrow(['right'], '→', 'later', step(1)),
    ...(row > 0
      ? [bind('s', 'tone, speech or both', [openDialog({...dialog, sheet: withSound(sheet, row)})], true)]
      : []),
    bind('u', 'the usual sheet', [openDialog({...dialog, sheet: usualCueSheet(shutterSeconds), row: 0})], true),
  ];
};

const limitKeys = (dialog: Extract<Dialog, {kind: 'limits'}>): Binding[] => {
  const {limits, row} = dialog;
  const rows = limitFields(limits).length;
  const step = (by: number): Effect => openDialog({...dialog, limits: withLimit(limits, row, by)});
  return [
    arrow(['up'], '↑', 'the limit above', openDialog({...dialog, row: (row + rows - 1) % rows})),
    arrow(['down'], '↓', 'the limit below', openDialog({...dialog, row: (row + 1) % rows})),
    arrow(['left'], '←', 'lower', step(-1)),
    arrow(['right'], '→', 'higher', step(1)),
    bind('u', 'as usual', [openDialog({...dialog, limits: usualLimit(limits, row)})], true),
  ];
};

const LONGEST_NOTE = 500;

const typingKeys = (dialog: Extract<Dialog, {kind: 'note' | 'folder'}>): Binding[] => [
  {
    keys: ['backspace'],
    shown: 'Backspace',
    say: 'take the last sign away',
    often: true,
    effects: [openDialog({...dialog, text: [...dialog.text].slice(0, -1).join('')})],
  },
];

/** The dialog after a text was typed or pasted; the same where it takes none. */
export const typedInto = (dialog: Dialog, text: string): Dialog =>
  dialog.kind === 'note' || dialog.kind === 'folder'
    ? {...dialog, text: `${dialog.text}${text.replace(/[\u0000-\u001f\u007f-\u009f]+/g, ' ')}`.slice(0, LONGEST_NOTE)}
    : dialog;

/** Whether the dialog takes text, so that letters and the space bar are no commands. */
export const takesText = (dialog: Dialog | null): boolean => dialog?.kind === 'note' || dialog?.kind === 'folder';

/** The keys of what lies over a place. */
export const dialogKeys = (dialog: Dialog, state: SessionState): Binding[] => {
  switch (dialog.kind) {
    case 'help':
    case 'drawing':
      return [];
    case 'limits':
      return limitKeys(dialog);
    case 'leaving?':
      return [bind('q', 'leave', [{kind: 'quit'}], true)];
    case 'note':
    case 'folder':
      return typingKeys(dialog);
    case 'series':
      return seriesKeys(dialog);
    case 'cues':
      return cueKeys(dialog, state);
  }
};
