/** Numbers as a photographer writes them, for the words of the shoot. */

const minus = (text: string): string => text.replace('-', '−');

/** At most two decimals, no trailing zeros, a real minus sign. */
export const rounded = (value: number): string => minus(String(Math.round(value * 100) / 100));

export const metres = (value: number): string => rounded(value);
export const seconds = (value: number): string => rounded(value);
export const degrees = (value: number): string => `${minus(String(Math.round(value)))}°`;

/** "−4.8 EV", "+0.1 EV", "0.0 EV". */
export const ev = (value: number): string => {
  const tenths = Math.round(value * 10) / 10;
  return `${tenths < 0 ? '−' : tenths > 0 ? '+' : ''}${Math.abs(tenths).toFixed(1)} EV`;
};

/** A fraction of full power: "1/1", "1/16", and in thirds of a stop between: "1/16 +0.3", "1/8 +0.7". */
export const printPower = (power: number): string => {
  const stops = Math.round(-Math.log2(power) * 10) / 10;
  const whole = Math.ceil(stops - 0.05);
  const above = Math.round((whole - stops) * 10) / 10;
  return `1/${2 ** whole}${above > 0.05 ? ` +${above.toFixed(1)}` : ''}`;
};

/** "3 files", "1 file". */
export const counted = (count: number, word: string): string => `${count} ${word}${count === 1 ? '' : 's'}`;

/** "24.1 MB", "3.2 GB": powers of ten, as disks are sold. */
export const byteSize = (bytes: number): string => {
  if (bytes >= 1e9) return `${(bytes / 1e9).toFixed(1)} GB`;
  if (bytes >= 1e6) return `${(bytes / 1e6).toFixed(bytes >= 1e7 ? 0 : 1)} MB`;
  return `${Math.ceil(bytes / 1000)} kB`;
};
