import {FULL_POPS_BEFORE_REST, fullPops} from '../light/flash-care.js';
import type {Shoot} from './state.js';

/** The time in which pops add up to heat, as in src/light/flash-care.ts. */
const WINDOW_MS = 10 * 60_000;

/**
 * A reminder to rest the flashes, when one of them gave the light of 20 full pops in the last ten minutes; null otherwise.
 * @param nowMs wall-clock time, epoch milliseconds
 */
export const heatWords = ({attempts}: Pick<Shoot, 'attempts'>, nowMs: number): string | null => {
  const given = new Map<string, number>();
  for (let at = attempts.length - 1; at >= 0; at--) {
    const {at: time, rig, openedAt} = attempts[at]!;
    if (nowMs - Date.parse(time) > WINDOW_MS) break;
    if (!openedAt) continue;
    for (const light of rig.lights.filter(({on}) => on)) {
      given.set(light.id, (given.get(light.id) ?? 0) + fullPops(light, 1));
    }
  }
  const hot = [...given].filter(([, pops]) => pops >= FULL_POPS_BEFORE_REST).map(([id]) => id);
  if (hot.length === 0) return null;
  return `${hot.sort().join(' and ')} gave the light of ${FULL_POPS_BEFORE_REST} full pops within ten minutes and may be hot.`;
};
