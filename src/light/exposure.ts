import type {Exposure} from '../../shared/exposure.js';
import {positive} from './fault.js';

/** The APEX values of an exposure; `ev` is Av + Tv, whatever the sensitivity. */
export type Apex = {av: number; tv: number; sv: number; ev: number};

const checked = (exposure: Exposure): Exposure => ({
  shutterSeconds: positive('The shutter time', exposure.shutterSeconds, 's'),
  fNumber: positive('The f-number', exposure.fNumber),
  iso: positive('The ISO value', exposure.iso),
});

/**
 * APEX: Av = log2 N², Tv = −log2 t, Sv = log2(S/3.125), Ev = Av + Tv. Source: Exif 2.3 annex C (Sv 5 at ISO 100).
 * @throws LightFault
 */
export const apex = (exposure: Exposure): Apex => {
  const {shutterSeconds, fNumber, iso} = checked(exposure);
  const av = 2 * Math.log2(fNumber);
  const tv = -Math.log2(shutterSeconds);
  return {av, tv, sv: Math.log2(iso / 3.125), ev: av + tv};
};

/**
 * The scene luminance, as EV at ISO 100, that this exposure renders as middle grey:
 * EV100 = log2(N²/t) − log2(S/100). Source: ISO 2720:1974.
 * @throws LightFault
 */
export const ev100 = (exposure: Exposure): number => {
  const {shutterSeconds, fNumber, iso} = checked(exposure);
  return Math.log2((fNumber * fNumber) / shutterSeconds) - Math.log2(iso / 100);
};

/**
 * How many stops brighter `to` records light that shines all the time: the room, a leak. Negative is darker.
 * @throws LightFault
 */
export const stopsBetween = (from: Exposure, to: Exposure): number => ev100(from) - ev100(to);

/**
 * How many stops brighter `to` records a flash, or a light that is moved past: aperture and ISO count, the shutter time
 * does not (at or below sync speed a flash is over long before the shutter closes; a trail's point is lit only while
 * the light passes). Negative is darker.
 * @throws LightFault
 */
export const flashStopsBetween = (from: Exposure, to: Exposure): number => {
  const before = checked(from);
  const after = checked(to);
  return 2 * Math.log2(before.fNumber / after.fNumber) + Math.log2(after.iso / before.iso);
};
