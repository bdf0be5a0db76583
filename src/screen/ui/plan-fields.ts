import {printAperture} from '../../../shared/exposure.js';
import type {FlashLight, Gel} from '../../../shared/rig.js';
import {usualGels} from '../../light/gel.js';
import {type Nominal, nominalFNumbers, nominalIsos, nominalShutters} from '../../light/nominal.js';
import {nearestPower, powerSteps, printPower} from '../../light/power.js';
import {printDistance} from '../../light/words.js';
import type {SessionState} from '../../shoot/state.js';
import {plain} from '../plain.js';
import {ev100Said, shutterSaid} from '../words.js';
import type {Draft} from './state.js';

/** One value of the Plan that the arrows change. */
export type PlanField = {
  id: string;
  /** Word in the margin. */
  label: string;
  value: string;
  /** The light that it belongs to, if any. */
  light: string | null;
  /** The draft with this value so many steps further. */
  step(draft: Draft, steps: number): Draft;
};

/** What the Plan shows: the changes that wait, or what is set. */
export const planOf = (state: SessionState, draft: Draft | null): Draft =>
  draft ?? {exposure: state.shoot.exposure, roomEv100: state.shoot.roomEv100, rig: state.shoot.rig};

const LONGEST_SECONDS = 900;
/** Bulb times beyond the dials, in thirds: 40, 50, 60, 80 … s. */
const bulbSeconds: readonly number[] = Array.from({length: 15}, (_, index) => {
  const exact = 32 * 2 ** ((index + 1) / 3);
  return exact < 100 ? Math.round(exact / 10) * 10 : Math.round(exact / 20) * 20;
}).filter(seconds => seconds <= LONGEST_SECONDS);

const markedOf = (series: readonly Nominal[]): number[] => series.map(nominal => nominal.marked);

/** The value so many places further in a rising series, from the place nearest to `value`. */
const further = (series: readonly number[], value: number, steps: number): number => {
  let nearest = 0;
  for (const [index, candidate] of series.entries()) {
    if (Math.abs(Math.log2(candidate / value)) < Math.abs(Math.log2(series[nearest]! / value))) nearest = index;
  }
  return series[Math.max(0, Math.min(series.length - 1, nearest + steps))]!;
};

const shutters = [...markedOf(nominalShutters()), ...bulbSeconds];
const fNumbers = markedOf(nominalFNumbers());
const isos = markedOf(nominalIsos());
const risingPowers = [...powerSteps].reverse();

const ROOM_START_EV100 = -4;

const withLight = (draft: Draft, id: string, change: (light: FlashLight) => Partial<FlashLight>): Draft => ({
  ...draft,
  rig: {...draft.rig, lights: draft.rig.lights.map(light => (light.id === id ? {...light, ...change(light)} : light))},
});

const nextDistance = (metres: number, steps: number): number => {
  const grain = metres < 2 || (metres === 2 && steps < 0) ? 0.05 : 0.1;
  return Math.max(0.2, Math.min(30, Math.round((metres + steps * grain) * 100) / 100));
};

const nextGel = (gel: Gel | null, steps: number): Gel | null => {
  const own = gel && !usualGels.some(usual => usual.name === gel.name) ? [gel] : [];
  const choices: (Gel | null)[] = [null, ...own, ...usualGels];
  const at = choices.findIndex(choice => choice?.name === gel?.name);
  return choices[(((at + steps) % choices.length) + choices.length) % choices.length]!;
};

const lightFields = (light: FlashLight): PlanField[] => [
  {
    id: `${light.id} on`,
    label: `light ${light.id}`,
    value: light.on ? 'used' : 'not used',
    light: light.id,
    step: draft => withLight(draft, light.id, current => ({on: !current.on})),
  },
  {
    id: `${light.id} power`,
    label: 'power',
    value: `${printPower(light.power)}${light.pops > 1 ? `, ${light.pops} pops` : ''}`,
    light: light.id,
    step: (draft, steps) =>
      withLight(draft, light.id, current => ({power: further(risingPowers, nearestPower(current.power), steps)})),
  },
  {
    id: `${light.id} distance`,
    label: 'distance',
    value: printDistance(light.distanceMetres),
    light: light.id,
    step: (draft, steps) =>
      withLight(draft, light.id, current => ({distanceMetres: nextDistance(current.distanceMetres, steps)})),
  },
  {
    id: `${light.id} gel`,
    label: 'gel',
    value: light.gel ? plain(light.gel.name, 40) : 'none',
    light: light.id,
    step: (draft, steps) => withLight(draft, light.id, current => ({gel: nextGel(current.gel, steps)})),
  },
];

/** The Plan's values, from top to bottom. */
export const planFields = (plan: Draft): PlanField[] => [
  {
    id: 'time',
    label: 'time',
    value: shutterSaid(plan.exposure.shutterSeconds),
    light: null,
    step: (draft, steps) => ({
      ...draft,
      exposure: {...draft.exposure, shutterSeconds: further(shutters, draft.exposure.shutterSeconds, steps)},
    }),
  },
  {
    id: 'aperture',
    label: 'aperture',
    value: printAperture(plan.exposure.fNumber),
    light: null,
    step: (draft, steps) => ({
      ...draft,
      exposure: {...draft.exposure, fNumber: further(fNumbers, draft.exposure.fNumber, steps)},
    }),
  },
  {
    id: 'iso',
    label: 'ISO',
    value: String(Math.round(plan.exposure.iso)),
    light: null,
    step: (draft, steps) => ({
      ...draft,
      exposure: {...draft.exposure, iso: further(isos, draft.exposure.iso, steps)},
    }),
  },
  {
    id: 'room',
    label: 'room',
    value: plan.roomEv100 === null ? 'not measured' : ev100Said(plan.roomEv100),
    light: null,
    step: (draft, steps) => ({
      ...draft,
      roomEv100:
        draft.roomEv100 === null
          ? ROOM_START_EV100
          : Math.max(-12, Math.min(12, Math.round((draft.roomEv100 + steps / 3) * 3) / 3)),
    }),
  },
  ...plan.rig.lights.flatMap(lightFields),
];
