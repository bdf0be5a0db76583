import type {Exposure} from '../../shared/exposure.js';
import {stopsBetween} from '../light/exposure.js';
import type {JudgeInput} from './contract.js';
import {keepsShape, predictScales} from './predict.js';

/**
 * How strong a light should come out against its own plate, EV: 0 unless rig or exposure changed since the plate.
 * A light that the plate's rig or today's doesn't know counts as unchanged.
 */
export const expectedLightEv = (input: JudgeInput, id: string): number => {
  const plate = input.plates?.find(each => each.plate === `light ${id}`);
  if (!plate || !input.rig) return 0;
  const now: Exposure | null = input.exposure ?? plate.exposure;
  const then: Exposure | null = plate.exposure ?? now;
  if (!now || !then) return 0;
  return predictScales({rig: plate.rig, exposure: then}, {rig: input.rig, exposure: now}).lights[id] ?? 0;
};

/** Whether a light falls on the face otherwise than on its plate, which then says little about its strength. */
export const isReshaped = ({plates, rig}: JudgeInput, id: string): boolean => {
  const was = plates?.find(each => each.plate === `light ${id}`)?.rig.lights.find(light => light.id === id);
  const is = rig?.lights.find(light => light.id === id);
  return was !== undefined && is !== undefined && !keepsShape(was, is);
};

/** How much brighter than the dark plate the room should come out, EV: 0 unless the exposure changed since. */
export const expectedRoomEv = (input: JudgeInput): number => {
  const then = input.plates?.find(each => each.plate === 'dark')?.exposure;
  return then && input.exposure ? stopsBetween(then, input.exposure) : 0;
};
