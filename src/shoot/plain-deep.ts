import {plainText} from '../../shared/plain-text.js';

/**
 * A copy of plain data in which every string is fit for a terminal and every number that JSON can't hold is null. What
 * comes from cameras, files and people goes through here on its way into the journal and out of it.
 */
export const plainDeep = (value: unknown): unknown => {
  if (typeof value === 'string') return plainText(value);
  if (typeof value === 'number') return Number.isFinite(value) ? value : null;
  if (Array.isArray(value)) return value.map(plainDeep);
  if (value === null || typeof value !== 'object') return value;
  return Object.fromEntries(
    Object.entries(value)
      .filter(([, inner]) => inner !== undefined)
      .map(([key, inner]) => [plainText(key), plainDeep(inner)]),
  );
};
