import type {Exposure} from '../../shared/exposure.js';
import type {Rig} from '../../shared/rig.js';
import type {JudgeInput} from './contract.js';
import {predictScales} from './predict.js';

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
  return predictScales({rig: plate.rig, exposure: then}, {rig: input.rig as Rig, exposure: now}).lights[id] ?? 0;
};
