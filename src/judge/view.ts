import type {Check, Measurement, Reading} from '../../shared/reading.js';
import type {JudgeInput} from './contract.js';
import {type LimitName, limitOf, limitRules, type State, stateAgainst} from './limits.js';

/** What the single checks look at: the judge's input, and what earlier attempts said. */
export type View = JudgeInput & {
  /** The attempt before this one, where there is one. */
  last: Reading | null;
  limit(name: LimitName): number;
  against(name: LimitName, value: number): State;
};

export const viewOf = (input: JudgeInput): View => ({
  ...input,
  last: input.earlier.at(-1)?.reading ?? null,
  limit: name => limitOf(input.limits, name),
  against: (name, value) => stateAgainst(input.limits, name, value),
});

/** A check held against one limit. */
export const checkAgainst = (
  view: View,
  id: string,
  name: LimitName,
  value: number,
  say: string,
  state: State = view.against(name, value),
): Check => ({id, state, say, value, limit: view.limit(name), unit: limitRules[name].unit});

/** What the same check measured in the attempt before, or null. */
export const valueBefore = (view: View, id: string): number | null =>
  view.last?.checks.find(check => check.id === id)?.value ?? null;

/**
 * ", was 1.4" when the value moved by at least this much since the attempt before, else nothing.
 * @param print how the value is written, with its unit or without
 */
export const wasBefore = (
  view: View,
  id: string,
  value: number,
  step: number,
  print: (value: number) => string,
): string => {
  const before = valueBefore(view, id);
  return before === null || Math.abs(before - value) < step ? '' : `, was ${print(before)}`;
};

/** Whether the frame could be measured in the face at all. */
export const hasFace = (measurement: Measurement): boolean => measurement.face.levelEv !== null;
