import type {Gel} from '../../shared/rig.js';
import {LightFault, positive} from './fault.js';

/** Mired of a colour temperature: 10⁶/K. */
export const miredOfKelvin = (kelvin: number): number => 1e6 / positive('The colour temperature', kelvin, 'K');

/** Colour temperature in kelvin of a mired value, > 0. */
export const kelvinOfMired = (mired: number): number => 1e6 / positive('The mired value', mired);

/** The mired shift from one colour temperature to another; positive warms. */
export const miredShift = (fromKelvin: number, toKelvin: number): number =>
  miredOfKelvin(toKelvin) - miredOfKelvin(fromKelvin);

/**
 * Colour temperature of a light behind a gel.
 * @throws LightFault when a cooling gel would take the light past every colour temperature
 */
export const kelvinThrough = (kelvin: number, shiftMired: number): number => {
  const mired = miredOfKelvin(kelvin) + shiftMired;
  if (!(mired > 0)) {
    throw new LightFault(
      `A gel of ${shiftMired} mired on a light of ${kelvin} K leaves no colour temperature; check the gel's mired shift.`,
    );
  }
  return 1e6 / mired;
};

/** Stops lost through a transmission of 0 to 1: −log2 T. */
export const stopsOfTransmission = (transmission: number): number =>
  0 - Math.log2(positive('The transmission', transmission));

/** Stops that a filter factor asks for: log2 of the factor. */
export const stopsOfFilterFactor = (factor: number): number => Math.log2(positive('The filter factor', factor));

/**
 * White balance in kelvin that renders a light this much warmer than neutral.
 * @param lightKelvin colour temperature of the light, gel included
 * @param warmthMired wanted warmth: 0 neutral, positive warmer, negative cooler
 */
export const whiteBalanceFor = (lightKelvin: number, warmthMired: number): number =>
  kelvinThrough(lightKelvin, -warmthMired);

/**
 * Common correction gels, to be edited by the user. From memory: makers differ, and "half" is not the same half between
 * them. The warming shifts match 6500 K → 3200, 3800, 4600 and 5560 K.
 */
export const usualGels: readonly Gel[] = [
  {name: 'full CTO', miredShift: 159, lossStops: 0.86},
  {name: 'half CTO', miredShift: 109, lossStops: 0.49},
  {name: 'quarter CTO', miredShift: 64, lossStops: 0.34},
  {name: 'eighth CTO', miredShift: 26, lossStops: 0.23},
  {name: 'full CTB', miredShift: -137, lossStops: 1.5},
  {name: 'half CTB', miredShift: -78, lossStops: 0.9},
  {name: 'quarter CTB', miredShift: -35, lossStops: 0.5},
];
