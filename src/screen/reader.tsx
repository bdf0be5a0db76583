import {Box, Text, useWindowSize} from 'ink';
import {type ReactNode, useSyncExternalStore} from 'react';
import {printSettings} from '../light/words.js';
import {wantedPlates} from '../shoot/plate-names.js';
import type {Attempt} from '../shoot/state.js';
import {wrapText} from './lines.js';
import type {Model, View} from './model.js';
import {bySeverity, verdictSaid} from './parts/verdict.js';
import {plain} from './plain.js';
import {answerTo} from './plan-answers.js';
import {moreLines} from './plan-more.js';
import {latestAttempt} from './ui/attempt-keys.js';
import {bindingsFor, isGoOn} from './ui/bindings.js';
import {goOn} from './ui/go-on.js';
import {chosenAttempt, listedAttempts} from './ui/look-back-keys.js';
import {earlierRigs, planFields, planOf} from './ui/plan-fields.js';

const attemptLines = (attempt: Attempt): string[] => [
  `Attempt ${attempt.number}${attempt.mark ? `, marked ${attempt.mark}` : ''}.`,
  ...(attempt.reading
    ? [
        `Verdict: ${verdictSaid(attempt.reading)}.`,
        ...bySeverity(attempt.reading.checks)
          .filter(check => check.state !== 'ok')
          .map(check => `${check.state}: ${check.id}: ${check.say}.`),
        ...attempt.reading.advice.slice(0, 1).map(advice => `Try next: ${advice.do}: ${advice.because}.`),
      ]
    : [attempt.trouble ?? '']),
  ...(attempt.changes.length > 0 ? [`Changed before it: ${attempt.changes.join('; ')}.`] : []),
];

const placeLines = ({ui, state}: View): string[] => {
  const latest = latestAttempt(state);
  switch (ui.place) {
    case 'plan': {
      const plan = planOf(state, ui.plan.draft);
      if (ui.plan.more !== null) return moreLines(state.shoot.exposure, plan).map(({text}) => text);
      const fields = planFields(plan, earlierRigs(state));
      return fields.map((field, row) => {
        const answer = answerTo(field, plan);
        return `${row === ui.plan.row ? 'Chosen: ' : ''}${field.label}: ${field.value}${answer === '' ? '' : `; ${answer}`}.`;
      });
    }
    case 'plates':
      return wantedPlates(state.shoot.rig).map(
        plate => `${plate}: ${state.shoot.plates.some(one => one.plate === plate) ? 'taken' : 'not taken'}.`,
      );
    case 'attempt':
      return latest ? attemptLines(latest) : ['Nothing was tried yet.'];
    case 'look back': {
      const chosen = chosenAttempt(ui, state);
      return [`${listedAttempts(ui, state).length} attempts listed.`, ...(chosen ? attemptLines(chosen) : [])];
    }
    case 'wrap':
      return [
        state.wrapPlan
          ? `${state.wrapPlan.files.length} files go to ${state.wrapPlan.folder}.`
          : 'Nothing is kept yet.',
      ];
  }
};

const activityLines = ({state}: View): string[] => {
  const {activity} = state;
  switch (activity.kind) {
    case 'preflight':
      return activity.items
        .filter(item => item.state !== 'ok')
        .map(item => `${item.by === 'told' ? 'You say' : 'Watched'}: ${item.say}${item.fix ? `: ${item.fix}` : ''}.`);
    case 'pulling':
      return ['The frame is being pulled.'];
    case 'measuring':
      return ['The frame is being measured.'];
    case 'room check':
    case 'speaking':
    case 'waiting for a file':
    case 'stopping':
      return [activity.say ?? ''];
    case 'countdown':
      return ['Counting down.'];
    default:
      return [];
  }
};

/** The screens as plain lines, one thing a line, for a program that reads them aloud. */
export const Reader = ({model}: {model: Model}): ReactNode => {
  const view = useSyncExternalStore(model.subscribe, model.view);
  const {columns} = useWindowSize();
  const {ui, state} = view;
  // The painter keeps the screen black meanwhile, and there is nothing to read.
  if (state.activity.kind === 'open') return null;
  const next = goOn(ui, state);
  const others = bindingsFor(ui, state).filter(binding => !isGoOn(binding) && binding.say !== '');
  const lines = [
    `${state.shoot.name}: ${ui.place}. ${printSettings(state.shoot.exposure, ', ')}.`,
    next ? `Space goes on: ${next.say}.${next.how === '' ? '' : ` ${next.how}.`}` : 'Esc stops.',
    ...(state.camera.kind === 'lost' ? [`Camera lost: ${state.camera.say}`] : []),
    ...(state.message ? [`${state.message.trouble ? 'Trouble: ' : ''}${state.message.say}`] : []),
    ...activityLines(view),
    ...(ui.dialog?.kind === 'help' ? others.map(binding => `${binding.shown}: ${binding.say}.`) : placeLines(view)),
    ...(ui.dialog?.kind === 'note' || ui.dialog?.kind === 'folder' ? [`Typed: ${ui.dialog.text}`] : []),
  ];
  return (
    <Box flexDirection="column">
      {lines
        .filter(line => line !== '')
        .flatMap(line => wrapText(plain(line), columns))
        .map((line, row) => ({line, key: `${row} ${line}`}))
        .map(({line, key}) => (
          <Text key={key}>{line}</Text>
        ))}
    </Box>
  );
};
