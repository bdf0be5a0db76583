import {plainText} from '../../shared/plain-text.js';

/** Nothing of ours is nested nearly as deep; what is was made to exhaust whoever walks through it. */
const DEEPEST = 60;

/**
 * A copy of plain data in which every string is fit for a terminal, every number that JSON can't hold is null, and so is
 * what is nested absurdly deep. What comes from cameras, files and people goes through here on its way into the journal
 * and out of it.
 */
export const plainDeep = (value: unknown, depth = 0): unknown => {
  if (depth > DEEPEST) return null;
  if (typeof value === 'string') return plainText(value);
  if (typeof value === 'number') return Number.isFinite(value) ? value : null;
  if (Array.isArray(value)) return value.map(inner => plainDeep(inner, depth + 1));
  if (value === null || typeof value !== 'object') return value;
  return Object.fromEntries(
    Object.entries(value)
      .filter(([, inner]) => inner !== undefined)
      .map(([key, inner]) => [plainText(key), plainDeep(inner, depth + 1)]),
  );
};
