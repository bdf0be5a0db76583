/** A value outside what light, glass or a camera can do. The message is one sentence for a person. */
export class LightFault extends Error {
  override name = 'LightFault';
}

const plain = (value: number): string => String(value).replace('-', '\u2212');

/**
 * Passes a value on if it lies in its physical range.
 * @param what the quantity as a person names it: "the flash's distance"
 * @param unit printed after the bounds, without a leading space; '' for none
 * @throws LightFault for a value outside the range or not a number
 */
export const inRange = (what: string, value: number, from: number, to: number, unit = ''): number => {
  if (value >= from && value <= to) return value;
  const tail = unit === '' ? '' : ` ${unit}`;
  const got = Number.isFinite(value) ? `${plain(value)}${tail}` : 'not a number that can be used';
  throw new LightFault(`${what} is ${got}; it must lie between ${plain(from)} and ${plain(to)}${tail}.`);
};

/**
 * Passes a value on if it is a finite number above zero.
 * @throws LightFault
 */
export const positive = (what: string, value: number, unit = ''): number => {
  if (value > 0 && Number.isFinite(value)) return value;
  const tail = unit === '' ? '' : ` ${unit}`;
  const got = Number.isFinite(value) ? `${plain(value)}${tail}` : 'not a number that can be used';
  throw new LightFault(`${what} is ${got}; it must be more than 0${tail}.`);
};

/**
 * Passes a value on if it is a finite number.
 * @throws LightFault
 */
export const finite = (what: string, value: number): number => {
  if (Number.isFinite(value)) return value;
  throw new LightFault(`${what} is not a number that can be used.`);
};
