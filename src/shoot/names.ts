import {mkdir, realpath} from 'node:fs/promises';
import path from 'node:path';
import {plainText} from '../../shared/plain-text.js';
import {errorCode} from './disk.js';
import {ShootFault} from './shoot-fault.js';

/** Room for a suffix within the 255 bytes that file systems allow. */
const LONGEST_NAME_BYTES = 120;
/** Names that mean a device on one of the systems a shoot may be copied to. */
const reserved = /^(con|prn|aux|nul|com[0-9¹²³]|lpt[0-9¹²³])(\.|$)/i;

/**
 * A file name that is safe in any folder of any system, from a name that a camera gave: no folders, no control or hidden
 * characters, nothing that begins with a dot or a dash, at most 120 bytes. The same name gives the same result.
 */
export const safeName = (nameOnCamera: string): string => {
  const last = nameOnCamera.split(/[/\\]/).at(-1)!;
  const shown = plainText(last)
    .normalize('NFC')
    .replace(/[\p{Cc}\p{Cf}\p{Co}\p{Cn}\p{Cs}\p{Zl}\p{Zp}]/gu, '')
    .replace(/[<>:"|?*]/g, '_')
    .replace(/\s+/g, ' ')
    .replace(/^[\s.]+|[\s.]+$/g, '');
  // Before the cut, so that the result is made of itself again.
  const guarded = reserved.test(shown) || shown.startsWith('-') ? `_${shown}` : shown;
  return cutName(guarded) || 'frame';
};

/** Cuts a long name before its ending, between characters. */
const cutName = (name: string): string => {
  if (Buffer.byteLength(name) <= LONGEST_NAME_BYTES) return name;
  const ending = /\.[A-Za-z0-9]{1,8}$/.exec(name)?.[0] ?? '';
  let stem = '';
  let bytes = ending.length;
  for (const character of name.slice(0, name.length - ending.length)) {
    bytes += Buffer.byteLength(character);
    if (bytes > LONGEST_NAME_BYTES) break;
    stem += character;
  }
  return stem.replace(/[\s.]+$/, '') + ending;
};

/** What tells two names apart on every system: case and composed accents don't. */
export const sameNameKey = (name: string): string => name.normalize('NFC').toLowerCase();

/** The name itself, then "name-2.ext", "name-3.ext" …: where it goes when the one before is taken. */
export function* nameChoices(name: string): Generator<string> {
  yield name;
  const {name: stem, ext} = path.parse(name);
  for (let count = 2; ; count++) yield `${stem}-${count}${ext}`;
}

/**
 * The absolute path of a file of the shoot.
 * @param relative with forward slashes, as in the journal
 * @throws ShootFault when it would leave the shoot's folder
 */
export const safePath = (shootFolder: string, relative: string): string => {
  const root = path.resolve(shootFolder);
  const parts = relative.split(/[/\\]/);
  const absolute = path.resolve(root, ...parts);
  const inside = absolute.startsWith(root + path.sep) && !relative.includes('\0');
  if (!inside || path.isAbsolute(relative) || parts.includes('..') || /^[a-z]:/i.test(relative)) {
    throw new ShootFault(
      `${plainText(relative).slice(0, 80).toWellFormed()} is not a file inside the shoot; it is left alone.`,
    );
  }
  return absolute;
};

/**
 * Makes sure that a folder which exists is really inside the shoot and not a link out of it.
 * @throws ShootFault
 */
export const insideReally = async (shootFolder: string, folder: string): Promise<void> => {
  const [root, real] = await Promise.all([realpath(shootFolder), realpath(folder)]);
  if (real !== root && !real.startsWith(root + path.sep)) {
    throw new ShootFault(`${plainText(folder)} leads out of the shoot; remove that link and try again.`);
  }
};

/**
 * Makes a folder of the shoot with the folders above it, and follows no link out of the shoot on the way.
 * @param relative with forward slashes
 * @returns its absolute path
 * @throws ShootFault, or the system's error
 */
export const makeInside = async (shootFolder: string, relative: string): Promise<string> => {
  let folder = path.resolve(shootFolder);
  safePath(shootFolder, relative);
  for (const part of relative.split('/')) {
    folder = path.join(folder, part);
    await mkdir(folder).catch(error => {
      if (errorCode(error) !== 'EEXIST') throw error;
    });
    await insideReally(shootFolder, folder);
  }
  return folder;
};
