import path from 'node:path';
import sharp from 'sharp';
import type {ShootFile} from '../../shared/journal.js';
import {decodePicture} from '../frame/decode/decode.js';
import {insideReally, safePath} from '../shoot/names.js';
import type {Attempt} from '../shoot/state.js';
import {type Markup, markup} from './markup.js';

/** A small picture of a frame: JPEG bytes and its size in pixels. */
export type SmallPicture = {jpeg: Buffer; width: number; height: number};

/** The file of an exposure that shows it best: its JPEG, else what is there. */
export const shownFile = (files: readonly ShootFile[]): ShootFile | null =>
  files.find(({kind}) => kind === 'jpeg') ?? files.find(({kind}) => kind === 'raw') ?? files[0] ?? null;

/** Makes small pictures of a shoot's files, each once. null where a file can't be shown; never rejects. */
export const createPictureMaker = (shootFolder: string) => {
  const made = new Map<string, SmallPicture | null>();
  const make = async (file: ShootFile, width: number, height: number): Promise<SmallPicture | null> => {
    try {
      const absolute = safePath(shootFolder, file.path);
      await insideReally(shootFolder, path.dirname(absolute));
      const picture = await decodePicture(absolute, width, height);
      const raw = {width: picture.width, height: picture.height, channels: 3} as const;
      const jpeg = await sharp(picture.rgb, {raw}).jpeg({quality: 78}).toBuffer();
      return {jpeg, width: picture.width, height: picture.height};
    } catch {
      return null;
    }
  };
  return async (files: readonly ShootFile[], width: number, height: number): Promise<SmallPicture | null> => {
    const file = shownFile(files);
    if (!file) return null;
    const key = `${width}x${height} ${file.path}`;
    const known = made.get(key);
    if (known !== undefined) return known;
    const picture = await make(file, width, height);
    made.set(key, picture);
    return picture;
  };
};

/** The picture inside a page, so that the page needs nothing else; a word in its place where there is none. */
export const embedded = (picture: SmallPicture | null, alt: string): Markup =>
  picture
    ? markup`<img src="data:image/jpeg;base64,${picture.jpeg.toString('base64')}" width="${picture.width}" height="${picture.height}" alt="${alt}" />`
    : markup`<p class="none">${alt}: no picture</p>`;

/** What is shown where an attempt has no picture. */
export const pictureWord = (attempt: Attempt): string =>
  attempt.files.length > 0 ? 'can’t be shown' : attempt.stage === 'stopped' ? 'stopped' : 'no frame';
