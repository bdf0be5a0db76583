import {printAperture} from '../../../shared/exposure.js';
import type {Rig} from '../../../shared/rig.js';
import {standsPossible} from '../../light/geometry.js';
import {type Nominal, nominalFNumbers, nominalIsos, nominalShutters} from '../../light/nominal.js';
import {printSeconds} from '../../light/words.js';
import type {SessionState} from '../../shoot/state.js';
import {ev100Said} from '../words.js';
import {lightFields, lightSetFields} from './light-fields.js';
import {markFields} from './mark-fields.js';
import {further, type PlanField} from './plan-field.js';
import type {Draft} from './state.js';

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

const shutters = [...markedOf(nominalShutters()), ...bulbSeconds];
const fNumbers = markedOf(nominalFNumbers());
const isos = markedOf(nominalIsos());
const ROOM_START_EV100 = -4;

const exposureFields = (plan: Draft): PlanField[] => [
  {
    id: 'time',
    label: 'time',
    value: printSeconds(plan.exposure.shutterSeconds),
    light: null,
    begins: false,
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
    begins: false,
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
    begins: false,
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
    begins: false,
    step: (draft, steps) => ({
      ...draft,
      roomEv100:
        draft.roomEv100 === null
          ? ROOM_START_EV100
          : Math.max(-12, Math.min(12, Math.round((draft.roomEv100 + steps / 3) * 3) / 3)),
    }),
  },
];

/** Whether every light can stand as the rig says: no tube reaches past the face, none hangs too high for its distance. */
const canStand = (rig: Rig): boolean =>
  rig.lights.every(
    light => standsPossible(rig, light) && (!light.snoot || light.snoot.tubeMillimetres / 1000 < light.distanceMetres),
  );

/** The field without the steps after which a light could no longer stand. */
const standing = (field: PlanField): PlanField => ({
  ...field,
  step: (draft, steps) => {
    const next = field.step(draft, steps);
    return canStand(draft.rig) && !canStand(next.rig) ? draft : next;
  },
});

/** Rigs that the shoot had, the newest first: where what was taken off is found again. */
export const earlierRigs = ({shoot}: SessionState): Rig[] => [
  shoot.rig,
  ...shoot.attempts.map(attempt => attempt.rig).reverse(),
];

/**
 * The Plan's values, from top to bottom: first what changes from try to try, then how the set is built.
 * @param earlier rigs of before, the newest first
 */
export const planFields = (plan: Draft, earlier: readonly Rig[] = []): PlanField[] => [
  ...exposureFields(plan),
  ...[
    ...plan.rig.lights.flatMap(lightFields),
    ...plan.rig.lights.flatMap(light => lightSetFields(light, earlier)),
    ...markFields(plan.rig, earlier),
  ].map(standing),
];
