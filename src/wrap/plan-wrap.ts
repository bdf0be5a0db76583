import path from 'node:path';
import type {Shoot} from '../shoot/state.js';
import {bagFolder, bagIdentity} from './bag-folder.js';
import {type NamedPicture, namePictures, usualPattern} from './picture-names.js';
import {WrapFault} from './wrap-fault.js';

export type WrapRequest = {
  shoot: Shoot;
  shootFolder: string;
  /** The folder or drive in which the hand-off's own folder is made; null: "wrap" inside the shoot. */
  destination: string | null;
  /** Whether attempts marked "maybe" go along. */
  maybeToo: boolean;
  /** How pictures are named: text with {shoot}, {attempt}, {date} and {mark}. */
  pattern?: string;
};

/** What a wrap will do. Folder absolute; pictures in the order in which they are copied. */
export type WrapPlan = {folder: string; pictures: NamedPicture[]; files: string[]; bytes: number};

/**
 * What would be handed off, and where to. Changes nothing.
 * @throws WrapFault when nothing is marked, the pattern can't be used or the place is taken by something else
 */
export const planWrap = async (request: WrapRequest): Promise<WrapPlan> => {
  const {shoot, shootFolder, maybeToo} = request;
  const destination = path.resolve(request.destination ?? path.join(shootFolder, 'wrap'));
  refuseOurOwnFolders(destination, shootFolder);
  const marks = maybeToo ? ['keep', 'maybe'] : ['keep'];
  const chosen = shoot.attempts.filter(({mark, files}) => mark !== null && marks.includes(mark) && files.length > 0);
  const pictures = namePictures(chosen, shoot.name, request.pattern ?? usualPattern);
  if (pictures.length === 0) {
    throw new WrapFault(
      maybeToo
        ? 'No attempt with a frame is marked keep or maybe: mark one first.'
        : 'No attempt with a frame is marked keep: mark one first, or hand off the maybes too.',
    );
  }
  const folder = await bagFolder(destination, shoot, bagIdentity(shoot, pictures));
  return {
    folder,
    pictures,
    files: pictures.map(({name}) => name),
    bytes: pictures.reduce((sum, {file}) => sum + file.bytes, 0),
  };
};

/** Nothing is handed off into the folders that hold the camera's files. */
const refuseOurOwnFolders = (destination: string, shootFolder: string): void => {
  for (const own of ['attempts', 'plates']) {
    const folder = path.resolve(shootFolder, own);
    if (destination === folder || destination.startsWith(folder + path.sep)) {
      throw new WrapFault(`The shoot's own folder "${own}" stays as it is; choose another folder for the wrap.`);
    }
  }
};
