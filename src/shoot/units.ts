/** Numbers as a photographer writes them, for the words of the shoot. */

const minus = (text: string): string => text.replace('-', '−');

/** At most two decimals, no trailing zeros, a real minus sign. */
export const rounded = (value: number): string => minus(String(Math.round(value * 100) / 100));

export const metres = (value: number): string => rounded(value);
export const seconds = (value: number): string => rounded(value);
export const degrees = (value: number): string => `${minus(String(Math.round(value)))}°`;

/** "3 files", "1 file". */
export const counted = (count: number, word: string): string => `${count} ${word}${count === 1 ? '' : 's'}`;

/** "24.1 MB", "3.2 GB": powers of ten, as disks are sold. */
export const byteSize = (bytes: number): string => {
  if (bytes >= 1e9) return `${(bytes / 1e9).toFixed(1)} GB`;
  if (bytes >= 1e6) return `${(bytes / 1e6).toFixed(bytes >= 1e7 ? 0 : 1)} MB`;
  return `${Math.ceil(bytes / 1000)} kB`;
};
