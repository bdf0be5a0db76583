import type {Exposure} from '../../shared/exposure.js';
import {ev100} from './exposure.js';
import {finite, positive} from './fault.js';

/** Calibration constants of ISO 2720:1974: K for reflected light (cd/m²), C for incident light on a flat receptor (lx). */
export const REFLECTED_K = 12.5;
export const INCIDENT_C = 250;

/**
 * EV at ISO 100 of an illuminance: EV100 = log2(E·100/C). Source: ISO 2720:1974, C = 250.
 * @param lux lx, > 0
 * @throws LightFault
 */
export const ev100OfLux = (lux: number): number =>
  Math.log2((positive('The room light', lux, 'lx') * 100) / INCIDENT_C);

/** Illuminance in lx of an EV at ISO 100: E = 2.5·2^EV100 with C = 250. */
export const luxOfEv100 = (roomEv100: number): number => (INCIDENT_C / 100) * 2 ** finite("The room's EV", roomEv100);

/** EV at ISO 100 of a luminance in cd/m², > 0: EV100 = log2(L·100/K) with K = 12.5. */
export const ev100OfLuminance = (candelasPerSquareMetre: number): number =>
  Math.log2((positive('The luminance', candelasPerSquareMetre, 'cd/m²') * 100) / REFLECTED_K);

/** Luminance in cd/m² of an EV at ISO 100. */
export const luminanceOfEv100 = (roomEv100: number): number =>
  (REFLECTED_K / 100) * 2 ** finite("The room's EV", roomEv100);

/**
 * Where a mid-grey thing lit by the room alone falls: EV around middle grey, 0 when it comes out as middle grey.
 * @param roomEv100 the room's light as EV at ISO 100
 */
export const roomLevelEv = (roomEv100: number, exposure: Exposure): number =>
  finite("The room's EV", roomEv100) - ev100(exposure);

/**
 * The room's light from what a light meter or the camera's own says of a grey card in it.
 * @param metered the exposure that was set
 * @param needleEv what the meter then shows: 0 when it calls the exposure right, +1 when it calls it a stop too bright
 */
export const ev100OfMetered = (metered: Exposure, needleEv = 0): number =>
  ev100(metered) + finite("The meter's reading", needleEv);
