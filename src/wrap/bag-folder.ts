import {createHash} from 'node:crypto';
import {readdir, readFile, stat} from 'node:fs/promises';
import path from 'node:path';
import {plainText} from '../../shared/plain-text.js';
import {diskTrouble, errorCode} from '../shoot/disk.js';
import {nameChoices} from '../shoot/names.js';
import type {Shoot} from '../shoot/state.js';
import {INFO_NAME, infoField} from './bag-text.js';
import {type NamedPicture, slug} from './picture-names.js';
import {makeFolders, WRAPPING_PREFIX} from './safe-write.js';
import {WrapFault} from './wrap-fault.js';

/** Who a hand-off belongs to: the shoot, and exactly these pictures under these names. */
export type BagIdentity = {shoot: string; pictures: string};

const digest = (text: string): string => createHash('sha256').update(text).digest('hex').slice(0, 16);

export const bagIdentity = (shoot: Shoot, pictures: readonly NamedPicture[]): BagIdentity => ({
  shoot: digest(JSON.stringify([shoot.begunAt, shoot.name])),
  pictures: digest(JSON.stringify(pictures.map(({file, name}) => [file.sha256, name]))),
});

export const printIdentity = ({shoot, pictures}: BagIdentity): string => `darkset ${shoot} ${pictures}`;

/**
 * The folder for a hand-off: a new one, or the one that was begun for exactly the same pictures. Another hand-off of the
 * same shoot stays, and this one gets the next name.
 * @param destination the absolute folder in which it shall lie
 * @returns its absolute path; it need not exist yet
 * @throws WrapFault when something else has its name
 */
export const bagFolder = async (destination: string, shoot: Shoot, identity: BagIdentity): Promise<string> => {
  for (const name of nameChoices(`${slug(shoot.name) || 'shoot'}-wrap`)) {
    const folder = path.join(destination, name);
    const owner = await ownerOf(folder);
    if (owner === 'nobody' || owner === printIdentity(identity)) return folder;
    if (!owner?.startsWith(`darkset ${identity.shoot} `)) {
      throw new WrapFault(
        `${plainText(folder)} is there already and is no hand-off of this shoot; move it, or choose another folder.`,
      );
    }
  }
  throw new WrapFault('No name was free.');
};

/** The identity that a folder bears; "nobody" for one that is missing or empty; null for anything else. */
const ownerOf = async (folder: string): Promise<string | null> => {
  try {
    const found = await stat(folder).catch((error: unknown) => {
      if (errorCode(error) === 'ENOENT') return null;
      throw error;
    });
    if (!found) return 'nobody';
    if (!found.isDirectory()) return null;
    const whole = (await readdir(folder)).filter(name => !name.startsWith(WRAPPING_PREFIX));
    if (whole.length === 0) return 'nobody';
    const info = await readFile(path.join(folder, INFO_NAME), 'utf8').catch(() => '');
    return infoField(info, 'External-Identifier');
  } catch (error) {
    throw new WrapFault(`The folder ${plainText(folder)} can't be used: ${diskTrouble(error)}.`);
  }
};

/** @throws WrapFault */
export const makeFolder = async (folder: string): Promise<void> => {
  try {
    await makeFolders(folder);
  } catch (error) {
    throw new WrapFault(`The folder ${plainText(folder)} can't be made: ${diskTrouble(error)}.`);
  }
};
