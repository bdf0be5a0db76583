import {lstat, readdir, stat} from 'node:fs/promises';
import path from 'node:path';
import type {ShootFile} from '../../shared/journal.js';
import {plainText} from '../../shared/plain-text.js';
import {readShortText} from '../frame/short-text.js';
import {errorCode} from '../shoot/disk.js';
import {knownFiles} from '../shoot/fold.js';
import {insideReally, safePath} from '../shoot/names.js';
import {readShoot} from '../shoot/open-shoot.js';
import type {Attempt, Shoot} from '../shoot/state.js';
import {DECLARATION_NAME} from './bag-text.js';
import {verifyBag, wrongFile} from './verify-bag.js';

/** What a check of a whole folder found. */
export type Verification = {
  kind: 'shoot' | 'hand-off';
  /** Files whose checksum was taken, and their bytes (0 for a hand-off, whose manifest tells none). */
  files: number;
  bytes: number;
  /** What is wrong, each a sentence; empty: everything is as it was written. */
  problems: string[];
  /** What is worth knowing but not wrong, each a sentence. */
  notes: string[];
};

/**
 * Checks a shoot: the journal line by line, every file against the size and checksum it was pulled with, files that
 * nobody knows, and its hand-offs where they can be reached. Also takes the folder of a hand-off. Changes nothing.
 * @throws ShootFault when there is no shoot
 */
export const verifyShoot = async (
  folder: string,
  progress: (files: number, of: number, file: string) => void = () => {},
): Promise<Verification> => {
  if (await isBag(folder)) {
    const {files, problems} = await verifyBag(path.resolve(folder));
    return {kind: 'hand-off', files, bytes: 0, problems, notes: []};
  }
  const {shoot, folder: root, damagedLines} = await readShoot(folder);
  const files = knownFiles(shoot);
  const problems: string[] = [];
  for (const [index, file] of files.entries()) {
    progress(index, files.length, file.path);
    const problem = await problemOf(root, file);
    if (problem) problems.push(`${shown(file.path)} ${problem}.`);
  }
  progress(files.length, files.length, '');
  const wraps = await checkWraps(shoot);
  return {
    kind: 'shoot',
    files: files.length,
    bytes: files.reduce((sum, {bytes}) => sum + bytes, 0),
    problems: [...damagedLines.map(line => `Line ${line} of the journal is damaged.`), ...problems, ...wraps.problems],
    notes: [...shoot.attempts.flatMap(missingFrame), ...(await unknownFiles(root, files)), ...wraps.notes],
  };
};

const isBag = async (folder: string): Promise<boolean> =>
  readShortText(path.join(folder, DECLARATION_NAME), 10_000).then(
    text => text.startsWith('BagIt-Version'),
    () => false,
  );

/** What is wrong with one file of the shoot, as the end of a sentence, or null. */
const problemOf = async (root: string, file: ShootFile): Promise<string | null> => {
  try {
    const absolute = safePath(root, file.path);
    await insideReally(root, path.dirname(absolute));
    const found = await lstat(absolute);
    if (found.isSymbolicLink()) return 'is a link, not the file that was pulled';
    if (found.size !== file.bytes) return `has ${found.size} bytes, it was pulled with ${file.bytes}`;
    return await wrongFile(absolute, file.sha256);
  } catch (error) {
    if (['ENOENT', 'ENOTDIR'].includes(errorCode(error))) return 'is missing';
    return errorCode(error) ? `can't be read (${errorCode(error)})` : 'is not inside the shoot';
  }
};

/** Worth a note: the shutter was open and no file is here. */
const missingFrame = (attempt: Attempt): string[] =>
  attempt.files.length === 0 && (attempt.openedAt || attempt.framesMade.length > 0)
    ? [`Attempt ${attempt.number} was exposed and has no file: its frame may still be on the camera.`]
    : [];

/** Files in the camera's folders that no entry knows. */
const unknownFiles = async (root: string, files: readonly ShootFile[]): Promise<string[]> => {
  const known = new Set(files.map(file => file.path));
  const notes: string[] = [];
  for (const folder of ['attempts', 'plates', 'strays']) {
    const entries = await readdir(path.join(root, folder), {recursive: true, withFileTypes: true}).catch(() => []);
    for (const entry of entries) {
      const file = path.relative(root, path.join(entry.parentPath, entry.name)).split(path.sep).join('/');
      if (!entry.isDirectory() && !known.has(file)) notes.push(`${shown(file)} is not in the journal.`);
    }
  }
  return notes;
};

const checkWraps = async (shoot: Shoot): Promise<{problems: string[]; notes: string[]}> => {
  const problems: string[] = [];
  const notes: string[] = [];
  for (const folder of new Set(shoot.wraps.map(wrap => wrap.folder))) {
    const isHere = await stat(folder).then(
      found => found.isDirectory(),
      () => false,
    );
    if (!isHere) notes.push(`The hand-off in ${shown(folder)} can't be reached now.`);
    else
      problems.push(
        ...(await verifyBag(folder)).problems.map(say => `Hand-off ${shown(path.basename(folder))}: ${say}`),
      );
  }
  return {problems, notes};
};

const shown = (text: string): string => plainText(text).slice(0, 160).toWellFormed();
