import type {FlashLight, Rig} from '../../../shared/rig.js';
import type {Draft} from './state.js';

/** One value of the Plan that the arrows change. */
export type PlanField = {
  id: string;
  /** Word in the margin. */
  label: string;
  value: string;
  /** The light that it belongs to, if any. */
  light: string | null;
  /** Whether it is the first of its kind: a gap parts it from the one above. */
  begins: boolean;
  /** The draft with this value so many steps further. */
  step(draft: Draft, steps: number): Draft;
};

/** The value so many places further in a rising series, from the place nearest to `value`. */
export const further = (series: readonly number[], value: number, steps: number): number => {
  let nearest = 0;
  for (const [index, candidate] of series.entries()) {
    if (Math.abs(Math.log2(candidate / value)) < Math.abs(Math.log2(series[nearest]! / value))) nearest = index;
  }
  return series[Math.max(0, Math.min(series.length - 1, nearest + steps))]!;
};

/** A value so many grains further, between its bounds, without the dust of adding decimals. */
export const stepped = (value: number, steps: number, grain: number, least: number, most: number): number =>
  Math.max(least, Math.min(most, Math.round((value + steps * grain) * 1000) / 1000));

/** A length so many steps further: by 5 cm up to 2 m, by 10 cm beyond. */
export const nextDistance = (metres: number, steps: number): number =>
  stepped(metres, steps, metres < 2 || (metres === 2 && steps < 0) ? 0.05 : 0.1, 0.2, 100);

/** The draft with a changed rig. */
export const withRig = (draft: Draft, change: (rig: Rig) => Partial<Rig>): Draft => ({
  ...draft,
  rig: {...draft.rig, ...change(draft.rig)},
});

/** The draft with one changed light. */
export const withLight = (draft: Draft, id: string, change: (light: FlashLight) => Partial<FlashLight>): Draft =>
  withRig(draft, rig => ({
    lights: rig.lights.map(light => (light.id === id ? {...light, ...change(light)} : light)),
  }));
