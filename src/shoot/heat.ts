import type {Shoot} from './state.js';

/*
 * Many pops at full power heat a flash, which then lengthens its own recycle time (references: makers' flash manuals).
 * How many is too many differs by maker and is not known here; these numbers are a cautious habit.
 */
const FULL_POPS = 20;
const WINDOW_MS = 10 * 60_000;

/**
 * A reminder to rest the flashes, when one of them gave the light of 20 full pops in the last ten minutes; null otherwise.
 * @param nowMs wall-clock time, epoch milliseconds
 */
export const heatWords = ({attempts}: Pick<Shoot, 'attempts'>, nowMs: number): string | null => {
  const fullPops = new Map<string, number>();
  for (let at = attempts.length - 1; at >= 0; at--) {
    const {at: time, rig, openedAt} = attempts[at]!;
    if (nowMs - Date.parse(time) > WINDOW_MS) break;
    if (!openedAt) continue;
    for (const light of rig.lights.filter(({on}) => on)) {
      fullPops.set(light.id, (fullPops.get(light.id) ?? 0) + light.power * light.pops);
    }
  }
  const hot = [...fullPops].filter(([, pops]) => pops >= FULL_POPS).map(([id]) => id);
  if (hot.length === 0) return null;
  return `${hot.sort().join(' and ')} gave the light of ${FULL_POPS} full pops within ten minutes and may be hot.`;
};
