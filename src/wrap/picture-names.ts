import path from 'node:path';
import type {ShootFile} from '../../shared/journal.js';
import {safeName, sameNameKey} from '../shoot/names.js';
import type {Attempt} from '../shoot/state.js';
import {WrapFault} from './wrap-fault.js';

/** What a pattern may hold in braces. */
const tokens = {
  shoot: (_: Attempt, shootName: string) => shootName,
  attempt: (attempt: Attempt) => String(attempt.number).padStart(3, '0'),
  date: (attempt: Attempt) => attempt.at.slice(0, 10),
  mark: (attempt: Attempt) => attempt.mark ?? 'unmarked',
} as const;

export const usualPattern = '{shoot}-{attempt}';

/** One file of the hand-off: where it lies in the shoot, and its name among the pictures. */
export type NamedPicture = {attempt: Attempt; file: ShootFile; name: string};

/**
 * Names for the files of these attempts. Files that one exposure made (a RAW file and its JPEG) share their stem; a stem
 * that is taken gets "-2", "-3" …. The same shoot gives the same names.
 * @param pattern text with {shoot}, {attempt}, {date} and {mark}
 * @throws WrapFault for a pattern that can't be used
 */
export const namePictures = (attempts: readonly Attempt[], shootName: string, pattern: string): NamedPicture[] => {
  checkPattern(pattern);
  const taken = new Set<string>();
  return attempts.flatMap(attempt => {
    const wanted = stemFor(attempt, shootName, pattern);
    return exposuresOf(attempt).flatMap(files => {
      const stem = freeStem(wanted, files, taken);
      for (const file of files) taken.add(sameNameKey(stem + endingOf(file)));
      taken.add(sameNameKey(stem));
      return files.map(file => ({attempt, file, name: stem + endingOf(file)}));
    });
  });
};

/** Text as a part of a file name: letters and digits with single hyphens, in lower case. */
export const slug = (text: string): string =>
  safeName(text.replace(/[/\\]/g, '-'))
    .toLowerCase()
    .replace(/[^\p{L}\p{M}\p{N}.]+/gu, '-')
    .replace(/^[-.]+|[-.]+$/g, '');

const checkPattern = (pattern: string): void => {
  const known = Object.keys(tokens).map(token => `{${token}}`);
  const used = pattern.match(/\{[^{}]*\}/g) ?? [];
  const strange = used.find(token => !known.includes(token));
  if (strange) throw new WrapFault(`The name pattern holds ${strange}; it can hold ${known.join(', ')}.`);
  if (slug(pattern.replace(/\{[a-z]+\}/g, 'x')) === '') {
    throw new WrapFault(`The name pattern gives no name; write it like ${usualPattern}.`);
  }
};

const stemFor = (attempt: Attempt, shootName: string, pattern: string): string => {
  const filled = pattern.replace(/\{(shoot|attempt|date|mark)\}/g, (_, token: keyof typeof tokens) =>
    tokens[token](attempt, shootName),
  );
  return slug(filled) || `attempt-${tokens.attempt(attempt)}`;
};

/** Files of one attempt, those of one exposure together: they have the same name but for its ending. */
const exposuresOf = (attempt: Attempt): ShootFile[][] => {
  const exposures = new Map<string, ShootFile[]>();
  for (const file of attempt.files) {
    const key = sameNameKey(path.posix.parse(file.path).name);
    exposures.set(key, [...(exposures.get(key) ?? []), file]);
  }
  return [...exposures.values()];
};

const endingOf = (file: ShootFile): string => {
  const ending = path.posix.extname(file.path).toLowerCase();
  return /^\.[a-z0-9]{1,8}$/.test(ending) ? ending : file.kind === 'jpeg' ? '.jpg' : '.raw';
};

const freeStem = (wanted: string, files: ShootFile[], taken: ReadonlySet<string>): string => {
  for (let count = 1; ; count++) {
    const stem = count === 1 ? wanted : `${wanted}-${count}`;
    const isFree = [stem, ...files.map(file => stem + endingOf(file))].every(name => !taken.has(sameNameKey(name)));
    if (isFree) return stem;
  }
};
