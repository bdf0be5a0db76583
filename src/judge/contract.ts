import type {Exposure} from '../../shared/exposure.js';
import type {Limits, PlateName} from '../../shared/journal.js';
import type {Advice, Check, Measurement, Reading} from '../../shared/reading.js';
import type {Rig} from '../../shared/rig.js';
import type {Zones} from '../../shared/zones.js';

/** An earlier attempt as far as judging needs it. */
export type Earlier = {attempt: number; reading: Reading; changes: string[]};

/** What a plate was taken with, so that a light that was re-set since is not taken for a drifting one. */
export type PlateOrigin = {plate: PlateName; rig: Rig; exposure: Exposure | null};

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
  /** Where the face is, so that a crossing can be named as the sitter knows it. */
  zones?: Zones | null;
  /** What the plates were taken with; without it they count as taken with this rig and exposure. */
  plates?: PlateOrigin[];
};

/** Pure: what to think of one frame and what to change next, the most useful first. */
export type Judge = (input: JudgeInput) => {checks: Check[]; advice: Advice[]};
