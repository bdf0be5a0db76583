import type {Exposure} from '../../shared/exposure.js';
import type {FlashLight, Rig} from '../../shared/rig.js';
import {describeRoom} from './darkness.js';
import {whatChanges} from './equivalent.js';
import {ev100} from './exposure.js';
import {inRange, LightFault} from './fault.js';
import {flashLevelEv} from './flash.js';
import {depthOfField} from './focus.js';
import {kelvinThrough} from './gel.js';
import type {PlanReport} from './plan-schema.js';
import {suggestPower} from './power.js';
import {ev100OfLux, roomLevelEv} from './room.js';
import {spotOnFace} from './sway.js';
import {printLevel} from './words.js';

/** What a plan is asked for. */
export type PlanOptions = {
  exposure: Exposure;
  /** The room's light as EV at ISO 100, or in lux; not both. */
  roomEv100?: number | null;
  roomLux?: number | null;
  /** Lens and distance; where it is left out and there is a rig, the rig's lens focused on the mark. */
  focus?: {
    focalMillimetres: number;
    distanceMetres: number;
    sensorWidthMillimetres: number;
    sensorHeightMillimetres: number;
  } | null;
  rig?: Rig | null;
  /** Settings to compare with; what is left out stays. */
  to?: Partial<Exposure> | null;
};

/** The room's light as EV at ISO 100, from whichever way it was given; null where it wasn't. */
const roomEv100Of = ({roomEv100 = null, roomLux = null}: PlanOptions): number | null => {
  if (roomEv100 !== null && roomLux !== null) throw new LightFault("Give the room's light as EV or in lux, not both.");
  if (roomLux !== null) return ev100OfLux(inRange('The room light', roomLux, 1e-6, 200_000, 'lx'));
  // Adding 0 turns −0 into 0.
  return roomEv100 === null ? null : inRange("The room's light", roomEv100, -20, 20, 'EV') + 0;
};

/** The focus that is asked for, or the rig's own. */
export const focusOf = ({focus = null, rig = null}: PlanOptions): NonNullable<PlanOptions['focus']> | null =>
  focus ?? (rig ? {...rig.lens, distanceMetres: rig.mark.cameraDistanceMetres} : null);

const checkedExposure = ({shutterSeconds, fNumber, iso}: Exposure): Exposure => ({
  shutterSeconds: inRange('The shutter time', shutterSeconds, 1e-6, 86_400, 's'),
  fNumber: inRange('The f-number', fNumber, 0.5, 128),
  iso: inRange('The ISO value', iso, 1, 10_000_000),
});

const flashPlan = (light: FlashLight, exposure: Exposure): PlanReport['flashes'][number] => {
  const levelEv = flashLevelEv(light, exposure);
  const {power, leftoverEv} = suggestPower(light.power, levelEv);
  return {
    id: light.id,
    levelEv,
    power: light.power,
    suggestedPower: power,
    leftoverEv,
    spotMetres: spotOnFace(light)?.fullMetres ?? null,
    kelvin: light.gel ? kelvinThrough(light.kelvin, light.gel.miredShift) : light.kelvin,
  };
};

/**
 * What light will do: the numbers of a plan.
 * @throws LightFault for a value outside the physical range, in one sentence
 */
export const planReport = (options: PlanOptions): PlanReport => {
  const exposure = checkedExposure(options.exposure);
  const roomEv100 = roomEv100Of(options);
  const focus = focusOf(options);
  const levelEv = roomEv100 === null ? null : roomLevelEv(roomEv100, exposure);
  const change = options.to ? whatChanges(exposure, checkedExposure({...exposure, ...options.to})) : null;
  return {
    schema: 1,
    exposure: {...exposure, ev100: ev100(exposure)},
    room:
      roomEv100 === null || levelEv === null
        ? null
        : {ev100: roomEv100, levelEv, say: `The room falls to ${printLevel(levelEv)}: ${describeRoom(levelEv)}.`},
    focus: focus && depthOfField({...focus, fNumber: exposure.fNumber}, focus.distanceMetres),
    flashes: (options.rig?.lights ?? []).filter(light => light.on).map(light => flashPlan(light, exposure)),
    change: change && {
      ev: change.roomEv,
      flashPowerEv: 0 - change.flashEv,
      distanceFactor: change.distanceFactor,
      trailEv: change.trailEv,
    },
  };
};
