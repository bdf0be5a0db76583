import {type Exposure, printAperture, printIso, printShutter} from '../../shared/exposure.js';
import {plainText} from '../../shared/plain-text.js';

/*
 * How numbers are written for a person: a real minus sign, a space before the unit, no more digits than can be trusted.
 */

const MINUS = '\u2212';

/** Decimal with a real minus sign; never "−0". */
export const printNumber = (value: number, digits: number): string => {
  if (value === Number.NEGATIVE_INFINITY) return `${MINUS}∞`;
  if (value === Number.POSITIVE_INFINITY) return '∞';
  const text = Math.abs(value).toFixed(digits);
  return Number(text) !== 0 && value < 0 ? `${MINUS}${text}` : text;
};

/** A level: "−4.8 EV", "0.0 EV". */
export const printLevel = (ev: number, digits = 1): string => `${printNumber(ev, digits)} EV`;

/** A change, always with its sign: "+1.0 EV", "−1.6 EV", "0.0 EV". */
export const printChange = (ev: number, digits = 1): string => {
  const text = printNumber(ev, digits);
  return `${Number(ev.toFixed(digits)) > 0 ? '+' : ''}${text} EV`;
};

/** Strength against the plate, signed and without a unit: "+0.1", "−0.3", "0.0". */
export const printSigned = (value: number, digits = 1): string =>
  `${Number(value.toFixed(digits)) > 0 ? '+' : ''}${printNumber(value, digits)}`;

/** "one stop", "two stops", "1⅓ stops", "1.5 stops": how a photographer says an amount, without its sign. */
export const printStops = (stops: number): string => {
  const amount = Math.abs(stops);
  const names = ['no', 'one', 'two', 'three', 'four', 'five', 'six'];
  const thirds = Math.round(amount * 3);
  const whole = Math.floor(thirds / 3);
  if (Math.abs(amount * 3 - thirds) > 0.1) return `${amount.toFixed(1)} stops`;
  if (thirds % 3 === 0) return `${names[whole] ?? whole} ${whole === 1 ? 'stop' : 'stops'}`;
  if (whole === 0) return `${thirds === 1 ? 'a third' : 'two thirds'} of a stop`;
  return `${whole}${thirds % 3 === 1 ? '⅓' : '⅔'} stops`;
};

/** A time as a person writes it: "8 s", "0.5 s", "1/125 s". */
export const printSeconds = (seconds: number): string => `${printShutter(seconds).replace(/s$/, '')} s`;

/** Settings as a person writes them: "8 s f/8 ISO 100". */
export const printSettings = ({shutterSeconds, fNumber, iso}: Exposure, gap = ' '): string =>
  [printSeconds(shutterSeconds), printAperture(fNumber), printIso(iso)].join(gap);

export const METRES_PER_FOOT = 0.3048;

const inUnits = (value: number, digits: number, unit: string): string =>
  `${String(Number(value.toFixed(digits))).replace('-', MINUS)} ${unit}`;

/**
 * A distance as a photographer would measure it: "1.2 m", "0.85 m", "12.5 m".
 * @param feet adds the feet: "1.2 m (3.9 ft)"
 */
export const printDistance = (metres: number, feet = false): string => {
  const text = inUnits(metres, Math.abs(metres) >= 10 ? 1 : 2, 'm');
  return feet ? `${text} (${inUnits(metres / METRES_PER_FOOT, 1, 'ft')})` : text;
};

/**
 * A small size: "12 cm", "7.2 cm".
 * @param feet adds the inches: "12 cm (4.7 in)"
 */
export const printSmall = (metres: number, feet = false): string => {
  const text = inUnits(metres * 100, Math.abs(metres) < 0.1 ? 1 : 0, 'cm');
  return feet ? `${text} (${inUnits(metres / 0.0254, 1, 'in')})` : text;
};

/** A colour temperature rounded as far as it means anything: "2950 K". */
export const printKelvin = (kelvin: number): string => `${Math.round(kelvin / 50) * 50} K`;

/** A part of a whole: "84 %". */
export const printPercent = (part: number): string => `${Math.round(part * 100)} %`;

/**
 * Foreign text for one place on a drawing: made plain, and cut to so many characters.
 * @param longest characters, ≥ 1
 */
export const shortText = (text: string, longest: number): string => {
  const letters = Array.from(plainText(text).trim());
  return letters.length > longest ? `${letters.slice(0, longest - 1).join('')}…` : letters.join('');
};
