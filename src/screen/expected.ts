import type {Check, Measurement} from '../../shared/reading.js';
import {checksFor} from '../judge/judge.js';
import {predictMeasurement, predictScales} from '../judge/predict.js';
import type {Plate, SessionState} from '../shoot/state.js';
import {plain} from './plain.js';
import type {Draft} from './ui/state.js';

const setupOf = (state: SessionState, plate: Plate) => ({
  rig: plate.rig ?? state.shoot.rig,
  exposure: plate.exposure ?? state.shoot.exposure,
});

/** By how much (EV) a plate's light will be brighter under this plan; null when it will not fire. */
export const plateEv = (state: SessionState, plate: Plate, plan: Draft): number | null => {
  const scales = predictScales(setupOf(state, plate), {rig: plan.rig, exposure: plan.exposure});
  if (plate.plate === 'dark') return scales.darkEv;
  return scales.lights[plate.plate.slice(-1)] ?? null;
};

const checksOf = (state: SessionState, measurement: Measurement, plan: Draft): Check[] =>
  checksFor({
    measurement,
    limits: state.shoot.limits,
    rig: plan.rig,
    exposure: plan.exposure,
    changes: [],
    earlier: [],
    zones: state.shoot.zones,
  });

/**
 * What the checks of the newest frame would say under this plan, where that differs; null when no frame was measured.
 * Light is predicted; where the trail will lie is not.
 */
export const expectedChanges = (state: SessionState, plan: Draft): string[] | null => {
  const attempt = state.shoot.attempts.findLast(candidate => candidate.reading !== null);
  if (!attempt?.reading) return null;
  const now = {rig: attempt.rig, exposure: attempt.exposure};
  const measurement = predictMeasurement(attempt.reading, now, {rig: plan.rig, exposure: plan.exposure});
  const before = checksOf(state, attempt.reading, {...plan, ...now});
  return checksOf(state, measurement, plan).flatMap(check => {
    const old = before.find(candidate => candidate.id === check.id);
    if (!old || /^flash /.test(check.id) || (old.say === check.say && old.state === check.state)) return [];
    return [`${plain(check.id, 30)} ${plain(check.say)} (${check.state})`];
  });
};
