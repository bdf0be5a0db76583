import type {Exposure} from '../../shared/exposure.js';
import type {FlashLight} from '../../shared/rig.js';
import {positive} from './fault.js';

/**
 * The guide number in metres at a sensitivity and power: GN′ = GN·√(S/100)·√p. Source: ISO 1230.
 * @param guideNumberMetres at ISO 100 and full power
 * @param power fraction of full power, > 0
 */
export const effectiveGuideNumber = (guideNumberMetres: number, iso: number, power: number): number =>
  positive('The guide number', guideNumberMetres, 'm') *
  Math.sqrt(positive('The ISO value', iso) / 100) *
  Math.sqrt(positive('The flash power', power));

/** The f-number that exposes a mid-grey subject right: N = GN/d. Source: ISO 1230. */
export const fNumberAt = (guideNumberMetres: number, distanceMetres: number): number =>
  positive('The guide number', guideNumberMetres, 'm') / positive('The distance', distanceMetres, 'm');

/** Stops gained (negative: lost) by going from one distance to another: −2·log2(d2/d1), the inverse square law. */
export const distanceStops = (fromMetres: number, toMetres: number): number =>
  -2 * Math.log2(positive('The distance', toMetres, 'm') / positive('The distance', fromMetres, 'm'));

/** The factor on the distance that changes the light by these stops: 2^(−stops/2). */
export const distanceFactor = (stops: number): number => 2 ** (-stops / 2);

/** Stops that n equal lights, or n pops of one, gain over one: log2 n. */
export const manyStops = (count: number): number => Math.log2(positive('The number of pops', count));

/** Stops lost in what is put before the light. */
export const modifierLossStops = (light: FlashLight): number =>
  (light.gel?.lossStops ?? 0) + (light.snoot?.lossStops ?? 0);

/**
 * Level that the flash gives a mid-grey subject at the sitter: EV around middle grey, 0 when N = GN′/d.
 * Counts power, pops, gel and modifier loss and the inverse square; not the angle at which it strikes the skin.
 * @param distanceMetres another distance than the light's own
 * @throws LightFault
 */
export const flashLevelEv = (light: FlashLight, exposure: Exposure, distanceMetres = light.distanceMetres): number => {
  const guideNumber = effectiveGuideNumber(light.guideNumberMetres, exposure.iso, light.power);
  const right = fNumberAt(guideNumber, distanceMetres);
  const stops = 2 * Math.log2(right / positive('The f-number', exposure.fNumber));
  return stops + manyStops(light.pops) - modifierLossStops(light);
};
