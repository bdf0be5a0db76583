import type {Exposure} from '../../shared/exposure.js';
import type {Limits} from '../../shared/journal.js';
import type {Advice, Check, Measurement, Reading} from '../../shared/reading.js';
import type {Rig} from '../../shared/rig.js';

/** An earlier attempt as far as judging needs it. */
export type Earlier = {attempt: number; reading: Reading; changes: string[]};

export type JudgeInput = {
  measurement: Measurement;
  /** Limits that the shoot overrides; the rest are the usual ones. */
  limits: Limits;
  /** null where nobody told (the `measure` command): advice then names no powers and distances. */
  rig: Rig | null;
  exposure: Exposure | null;
  /** What changed since the attempt before. */
  changes: string[];
  /** Earlier attempts that were measured, oldest first. */
  earlier: Earlier[];
};

/** Pure: what to think of one frame and what to change next, the most useful first. */
export type Judge = (input: JudgeInput) => {checks: Check[]; advice: Advice[]};
