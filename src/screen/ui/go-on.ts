import {isDeepStrictEqual} from 'node:util';
import {usualCueSheet} from '../../../shared/cues.js';
import {printSettings} from '../../light/words.js';
import {cueTrouble} from '../../shoot/cue-rules.js';
import type {Activity, SessionState} from '../../shoot/state.js';
import {counted} from '../../shoot/units.js';
import {limitFields} from './limit-fields.js';
import {closeDialog, type Dialog, type Draft, type Effect, toSession, toUi, type Ui} from './state.js';

/** What the one key does now; `say` stands on the bright line, `how` under it. */
export type GoOn = {say: string; how: string; effects: Effect[]};

/** While this happens there is nothing to go on with: only stop. */
const busy: ReadonlySet<Activity['kind']> = new Set([
  'countdown',
  'open',
  'pulling',
  'waiting for a file',
  'measuring',
  'stopping',
  'wrapping',
]);

const setPlan = (state: SessionState, draft: Draft): Effect[] => {
  const {shoot} = state;
  const effects: Effect[] = [];
  if (!isDeepStrictEqual(draft.exposure, shoot.exposure)) {
    effects.push(toSession({kind: 'set exposure', change: draft.exposure}));
    if (draft.exposure.shutterSeconds !== shoot.exposure.shutterSeconds) {
      const sheet = usualCueSheet(draft.exposure.shutterSeconds, shoot.cues.countdownSeconds);
      effects.push(toSession({kind: 'set cues', cues: sheet}));
    }
  }
  if (draft.roomEv100 !== shoot.roomEv100) {
    effects.push(toSession({kind: 'set room level', roomEv100: draft.roomEv100, how: 'said on the plan'}));
  }
  if (!isDeepStrictEqual(draft.rig, shoot.rig)) effects.push(toSession({kind: 'set rig', rig: draft.rig}));
  return [...effects, toUi({kind: 'plan', change: {draft: null}})];
};

const rigSaid = ({shoot: {rig}}: SessionState, draft: Draft): string =>
  isDeepStrictEqual({...draft.rig, lights: rig.lights}, rig) ? 'the lights' : 'the rig';

const whatIsSet = (state: SessionState, draft: Draft): string => {
  const parts: string[] = [];
  if (!isDeepStrictEqual(draft.exposure, state.shoot.exposure)) parts.push(printSettings(draft.exposure));
  if (!isDeepStrictEqual(draft.rig, state.shoot.rig)) parts.push(rigSaid(state, draft));
  if (draft.roomEv100 !== state.shoot.roomEv100) parts.push("the room's level");
  return parts.length > 0 ? `set ${parts.join(' and ')}` : 'leave it as it is';
};

const inDialog = (dialog: Dialog, maybeToo: boolean): GoOn => {
  switch (dialog.kind) {
    case 'help':
    case 'drawing':
      return {say: 'back', how: '', effects: [closeDialog]};
    case 'leaving?':
      return {
        say: 'stay here',
        how: 'q leaves. Everything is kept, and the shoot opens again where it was.',
        effects: [closeDialog],
      };
    case 'note':
      return {
        say: 'keep the note',
        how: 'Enter keeps it; the space bar writes a space.',
        effects: [
          ...(dialog.text.trim() === ''
            ? []
            : [toSession({kind: 'note', attempt: dialog.attempt, text: dialog.text.trim()})]),
          closeDialog,
        ],
      };
    case 'folder':
      return {
        say: 'use this folder',
        how: 'An empty line means the folder wrap in the shoot.',
        effects: [
          toSession({
            kind: 'plan wrap',
            folder: dialog.text.trim() === '' ? null : dialog.text.trim(),
            maybeToo,
          }),
          closeDialog,
        ],
      };
    case 'series':
      return {
        say: `begin ${counted(dialog.count, 'attempt')} in a row`,
        how: 'You can stay on the mark; stop ends it at any moment.',
        effects: [
          closeDialog,
          toSession({
            kind: 'begin series',
            count: dialog.count,
            pauseSeconds: dialog.pauseSeconds,
            untilPassed: dialog.untilPassed,
          }),
        ],
      };
    case 'limits':
      return {
        say: 'judge by these limits',
        how: `Chosen: ${limitFields(dialog.limits)[dialog.row]!.words}. Limits hold from the next frame on.`,
        effects: [toSession({kind: 'set limits', limits: dialog.limits}), closeDialog],
      };
    case 'cues': {
      const trouble = cueTrouble(dialog.sheet);
      if (trouble) return {say: 'not like this', how: trouble, effects: []};
      return {
        say: 'use this cue sheet',
        how: '',
        effects: [toSession({kind: 'set cues', cues: dialog.sheet}), closeDialog],
      };
    }
  }
};

/** What "go on" does at this moment; null when it does nothing. */
export const goOn = (ui: Ui, state: SessionState): GoOn | null => {
  const {activity, next} = state;
  const asked: GoOn = {say: next.say, how: next.how, effects: [toSession({kind: 'go on'})]};
  if (ui.closing || busy.has(activity.kind)) return null;
  if (activity.kind === 'room check' && !activity.holding) return null;
  if (ui.dialog) return inDialog(ui.dialog, ui.wrap.maybeToo);
  if (activity.kind !== 'resting') return asked;
  const ellipse = ui.plates.ellipse ?? state.proposedZones?.face;
  if (ui.place === 'plates' && ellipse) {
    return {
      say: 'yes, this is the head',
      how: ui.plates.sizing
        ? 'Arrows size the outline; Tab: arrows move it.'
        : 'Arrows move the outline; Tab: arrows size it.',
      effects: [
        toSession({kind: 'set zones', zones: {face: ellipse}}),
        toUi({kind: 'plates', change: {ellipse: null, sizing: false}}),
      ],
    };
  }
  if (ui.place === 'plan' && ui.plan.draft) {
    return {
      say: whatIsSet(state, ui.plan.draft),
      how: 'Esc forgets the change.',
      effects: setPlan(state, ui.plan.draft),
    };
  }
  if (ui.place !== next.place) {
    return {
      say: next.say.startsWith(next.place) ? `go to ${next.say}` : `go to ${next.place}: ${next.say}`,
      how: next.how,
      effects: [toUi({kind: 'go to', place: next.place})],
    };
  }
  return asked;
};
