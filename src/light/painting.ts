import type {Exposure} from '../../shared/exposure.js';
import type {PaintingLight} from '../../shared/rig.js';
import {flashStopsBetween} from './exposure.js';
import {positive} from './fault.js';

/**
 * Level of the trail, EV around middle grey. Aperture and ISO change it as they change a flash; the exposure time does
 * not, because each point of the trail is lit only while the light passes; a hand twice as fast leaves half the light.
 * @param speedFactor speed of the hand over its usual speed, > 0
 */
export const trailLevelEv = (painting: PaintingLight, exposure: Exposure, speedFactor = 1): number => {
  const reference = {...exposure, fNumber: painting.atFNumber, iso: painting.atIso};
  return (
    painting.trailEv +
    flashStopsBetween(reference, exposure) -
    Math.log2(positive('The speed of the hand', speedFactor))
  );
};

/** The speed of the hand, as a factor on the usual one, that brings the trail to a wanted level. */
export const handSpeedFor = (painting: PaintingLight, exposure: Exposure, wantedEv: number): number =>
  2 ** (trailLevelEv(painting, exposure) - wantedEv);
