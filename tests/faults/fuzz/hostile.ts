import type {Random} from './random.js';
import {turningPoints} from './random.js';

/*
 * Text and values that a camera, a file or another program could send to do harm, and what must never come out again.
 */

const pieces = [
  '..',
  '../',
  '../../../../etc/passwd',
  '..\\..\\',
  '/',
  '/etc/shadow',
  'C:\\Windows\\',
  '\\\\server\\share\\',
  '\0',
  '\n',
  '\r\n',
  '\t',
  '\u0007',
  '\b\b\b\b',
  '\u001b[2J',
  '\u001b[31m',
  '\u001b]0;title\u0007',
  '\u001b]52;c;cm0gLXJm\u0007',
  '\u001b]8;;http://example.invalid\u001b\\',
  '\u001bP+q544e\u001b\\',
  '\u001b[6n',
  '\u001bc',
  '\u009b31m',
  '\u009d0;x\u009c',
  '\u0090',
  '\u007f',
  '\u202e',
  '\u2066',
  '\u2069',
  '\u200f',
  '\u061c',
  '\ufeff',
  '\u2028',
  '\u200b',
  '\ud800',
  '\udfff',
  '\ufffe',
  '\ufdd0',
  'e\u0301\u0301\u0301\u0301\u0301\u0301',
  '😀',
  '字',
  '<script>',
  '"><img src=x onerror=1>',
  '&amp;&#x1b;&#0;',
  ']]>',
  '-->',
  '<!--',
  '<?xml',
  "'",
  '"',
  '`id`',
  '$(id)',
  '; rm -rf /',
  '| cat',
  '%s%n%x',
  '%0A%0D',
  '=1+1',
  '@SUM(A1)',
  '-rf',
  '--help',
  'CON',
  'nul.jpg',
  'aux',
  '.JPG',
  '.jpg',
  '.cr3',
  'DSC_0001',
  ' ',
  '.',
  'A',
  '1/125',
  'f/8',
  '8s',
  'NaN',
  '1e999',
  '−4',
  '{"v":1}',
  '[[slnc 9999]]',
  '{shoot}',
] as const;

/** Hostile text of up to about this many characters; now and then four kilobytes of one kind. */
export const hostileText = (random: Random, longest = 80): string => {
  if (random.chance(0.03)) return random.pick(pieces).repeat(Math.ceil(4096 / 4));
  let text = '';
  const wanted = random.whole(0, longest);
  while (text.length < wanted) {
    text += random.chance(0.7)
      ? random.pick(pieces)
      : String.fromCodePoint(random.chance(0.5) ? random.whole(0, 0x2ff) : random.whole(0, 0x10ffff));
  }
  return text;
};

/** Numbers that are absurd, at an edge, or no numbers. */
export const hostileNumber = (random: Random): number =>
  random.pick([
    ...turningPoints,
    -1,
    -0,
    0.5,
    1 / 3,
    1e-300,
    5e-324,
    1e300,
    -1e300,
    Number.MAX_VALUE,
    Number.MAX_SAFE_INTEGER,
    Number.POSITIVE_INFINITY,
    Number.NaN,
    random.next() * 100,
    -random.next() * 100,
  ]);

/** Any JSON-like value. */
export const hostileValue = (random: Random, depth = 2): unknown => {
  switch (random.whole(0, depth > 0 ? 7 : 4)) {
    case 0:
      return hostileText(random);
    case 1:
    case 2:
      return hostileNumber(random);
    case 3:
      return random.pick([null, true, false, '', 0]);
    case 4:
      return random.pick(['keep', 'jpeg', 'A', 'dark', 'light Z', 'both', 'open', 'flash']);
    case 5:
    case 6:
      return Array.from({length: random.whole(0, 4)}, () => hostileValue(random, depth - 1));
    default:
      return Object.fromEntries(
        Array.from({length: random.whole(0, 4)}, () => [
          random.pick(['__proto__', 'constructor', 'toString', 'length', hostileText(random, 12)]),
          hostileValue(random, depth - 1),
        ]),
      );
  }
};

/** A copy of plain data with one or several of its values, keys or lists gone wrong. */
export const bent = (value: unknown, random: Random, probability = 0.08): unknown => {
  if (random.chance(probability)) {
    if (typeof value === 'string' && random.chance(0.7)) return hostileText(random);
    if (typeof value === 'number' && random.chance(0.7)) return hostileNumber(random);
    return hostileValue(random);
  }
  if (Array.isArray(value)) {
    const items = value.map(item => bent(item, random, probability));
    return random.chance(probability / 2) ? [...items, ...items, ...items] : items;
  }
  if (value === null || typeof value !== 'object') return value;
  return Object.fromEntries(
    Object.entries(value)
      .filter(() => !random.chance(probability / 4))
      .map(([key, inner]) => [
        random.chance(probability / 8) ? hostileText(random, 10) : key,
        bent(inner, random, probability),
      ]),
  );
};

const unfit = /[\u0000-\u0009\u000b-\u001f\u007f-\u009f\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069\ufeff]/;

/** Why this text must not reach a terminal, or null. Newlines are for whole printed texts only. */
export const unfitForTerminal = (text: string, lines: 'one' | 'many' = 'one'): string | null => {
  const found = unfit.exec(text) ?? (lines === 'one' ? /\n/.exec(text) : null);
  if (found) {
    const at = found.index;
    return `U+${found[0].codePointAt(0)!.toString(16).padStart(4, '0')} in ${JSON.stringify(text.slice(Math.max(0, at - 40), at + 40))}`;
  }
  return text.isWellFormed() ? null : `a lone surrogate in ${JSON.stringify(text.slice(0, 120))}`;
};
