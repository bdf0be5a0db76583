import type {FlashLight} from '../../shared/rig.js';
import {positive} from './fault.js';
import {printPower} from './power.js';
import {printNumber, printSeconds} from './words.js';

/*
 * What repeated pops ask of flashes and people. The time a flash needs and the number of pops it stands are from memory
 * of common battery flashes; a flash lengthens its own recycling when it gets hot.
 */

/** Recycling after a full pop, seconds, with fresh cells. From memory. */
const FULL_RECYCLE_SECONDS = 4;

/** Shortest time between pops, seconds: no more than three flashes in a second. Source: WCAG 2.3.1. */
export const LEAST_SECONDS_BETWEEN_POPS = 1 / 3;

/** Full-power pops in ten minutes after which a flash should rest. From memory. */
export const FULL_POPS_BEFORE_REST = 20;

/** Seconds that a flash needs after a pop: part of its full recycling, in proportion to the energy given. */
export const recycleSeconds = (power: number, fullRecycleSeconds = FULL_RECYCLE_SECONDS): number =>
  positive('The flash power', power) * fullRecycleSeconds;

/**
 * Seconds from the first pop to the last when a light fires several times in one exposure: as fast as it recycles, and
 * never faster than three in a second.
 */
export const popsSeconds = (light: FlashLight, fullRecycleSeconds = FULL_RECYCLE_SECONDS): number =>
  (light.pops - 1) * Math.max(recycleSeconds(light.power, fullRecycleSeconds), LEAST_SECONDS_BETWEEN_POPS);

/** How many full pops the light's pops of so many exposures are worth in energy. */
export const fullPops = (light: FlashLight, exposures: number): number => light.power * light.pops * exposures;

/**
 * What to mind with this light, each a sentence; empty when there is nothing.
 * @param shutterSeconds length of the exposure that the pops must fit into
 * @param exposuresInTenMinutes how many exposures were made in the last ten minutes
 */
export const flashCautions = (light: FlashLight, shutterSeconds: number, exposuresInTenMinutes: number): string[] => {
  const cautions: string[] = [];
  const needed = popsSeconds(light);
  if (light.pops > 1) {
    const pace = needed / (light.pops - 1);
    cautions.push(
      needed > shutterSeconds * 0.8
        ? `${light.pops} pops of ${light.id} at ${printPower(light.power)} take about ${printNumber(needed, 1)} s: too long for ${printSeconds(shutterSeconds)}.`
        : `Leave ${light.id} at least ${printNumber(pace, 1)} s between its pops; ${light.pops} pops take ${printNumber(needed, 1)} s.`,
    );
  }
  const given = fullPops(light, exposuresInTenMinutes);
  if (given >= FULL_POPS_BEFORE_REST) {
    cautions.push(
      `${light.id} has given as much as ${Math.round(given)} full pops in ten minutes: let it rest, and don't touch its head, gel or cells.`,
    );
  }
  return cautions;
};
