import type {CueSheet} from '../../../shared/cues.js';
import type {Exposure} from '../../../shared/exposure.js';
import type {Limits} from '../../../shared/journal.js';
import type {Rig} from '../../../shared/rig.js';
import type {Ellipse} from '../../../shared/zones.js';
import type {Intent, Place, SessionState} from '../../shoot/state.js';

/** Changes on the Plan that were not set yet. */
export type Draft = {exposure: Exposure; roomEv100: number | null; rig: Rig};

/** Which attempts Look back lists. */
export const filters = ['every attempt', 'kept', 'kept or maybe', 'not dropped'] as const;
export type Filter = (typeof filters)[number];

/** What lies over a place and takes the keys first. */
export type Dialog =
  | {kind: 'help'}
  | {kind: 'leaving?'}
  /** The set from above, as the rig says. */
  | {kind: 'drawing'}
  | {kind: 'limits'; limits: Limits; row: number}
  | {kind: 'note'; attempt: number; text: string}
  | {kind: 'folder'; text: string}
  | {kind: 'series'; count: number; pauseSeconds: number; untilPassed: boolean; row: number}
  | {kind: 'cues'; sheet: CueSheet; row: number};

/** What only the screens know: where one looks, what is being changed. Everything else is the session's. */
export type Ui = {
  place: Place;
  palette: 'day' | 'night';
  /** Whether the person chose the palette; the screens then leave it alone. */
  paletteChosen: boolean;
  dialog: Dialog | null;
  /** Whether zones, trail, crossing and spill are drawn over the picture. */
  marks: boolean;
  /** What fills the picture's place. */
  view: 'picture' | 'histogram';
  /** `more`: the line that all which the plan says is scrolled to; null while the values are shown. */
  plan: {row: number; draft: Draft | null; expected: boolean; more: number | null};
  /** Without a row of its own, Plates follows the work. */
  plates: {row: number | null; ellipse: Ellipse | null; sizing: boolean};
  lookBack: {attempt: number | null; filter: Filter; view: 'one' | 'beside' | 'flip'};
  wrap: {maybeToo: boolean};
  /** Something that only the screens have to say, until the next key. */
  notice: string | null;
  closing: boolean;
};

/** Where the screens start: at the work's next place. */
export const firstUi = (state: SessionState): Ui => ({
  place: state.next.place,
  palette: 'day',
  paletteChosen: false,
  dialog: null,
  marks: false,
  view: 'picture',
  plan: {row: 0, draft: null, expected: false, more: null},
  plates: {row: null, ellipse: null, sizing: false},
  lookBack: {attempt: null, filter: 'every attempt', view: 'one'},
  wrap: {maybeToo: false},
  notice: null,
  closing: false,
});

/** What a key changes on the screens. */
export type UiAction =
  | {kind: 'go to'; place: Place}
  | {kind: 'palette'; name: 'day' | 'night'; chosen: boolean}
  | {kind: 'dialog'; dialog: Dialog | null}
  | {kind: 'marks'}
  | {kind: 'view'}
  | {kind: 'plan'; change: Partial<Ui['plan']>}
  | {kind: 'plates'; change: Partial<Ui['plates']>}
  | {kind: 'look back'; change: Partial<Ui['lookBack']>}
  | {kind: 'wrap'; change: Partial<Ui['wrap']>}
  | {kind: 'notice'; say: string | null}
  | {kind: 'closing'};

/** What a key does: change the screens, ask the session for something, or leave. */
export type Effect =
  | {kind: 'ui'; action: UiAction}
  | {kind: 'send'; intent: Intent}
  /** Opens a file in the system's own viewer. */
  | {kind: 'view'; path: string}
  | {kind: 'quit'};

/** One key, or a few that do the same. */
export type Binding = {
  /** Names as src/screen/terminal/keys.ts gives them; `any` takes every sign that types. */
  keys: readonly string[];
  /** How the key is written on the screen. */
  shown: string;
  /** What it does, in a word or two. */
  say: string;
  /** Whether it is written in the line at the bottom too, where there is room. */
  often: boolean;
  effects: readonly Effect[];
};

export const toUi = (action: UiAction): Effect => ({kind: 'ui', action});
export const toSession = (intent: Intent): Effect => ({kind: 'send', intent});
export const openDialog = (dialog: Dialog): Effect => toUi({kind: 'dialog', dialog});
export const closeDialog: Effect = toUi({kind: 'dialog', dialog: null});

/** A binding of one key. */
export const bind = (key: string, say: string, effects: readonly Effect[], often = false): Binding => ({
  keys: [key],
  shown: key,
  say,
  often,
  effects,
});
