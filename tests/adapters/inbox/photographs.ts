import {execFileSync} from 'node:child_process';
import {readFile} from 'node:fs/promises';
import {join} from 'node:path';
import sharp from 'sharp';

/** Real photographs that come with Debian's python3-skimage: a portrait (public domain) and a cat (CC0). */
const photographs = {
  portrait: '/usr/lib/python3/dist-packages/skimage/data/astronaut.png',
  cat: '/usr/lib/python3/dist-packages/skimage/data/chelsea.png',
} as const;

export type ExifGiven = {shutterSeconds: number; fNumber: number; iso: number};

/** Makes a JPEG of a real photograph with Exif written by exiftool; returns its bytes. */
export const photograph = async (
  folder: string,
  which: keyof typeof photographs,
  exif: ExifGiven | null,
): Promise<Buffer> => {
  const path = join(folder, `made-${which}-${exif?.shutterSeconds ?? 'bare'}.jpg`);
  await sharp(photographs[which]).jpeg({quality: 90}).toFile(path);
  if (exif) {
    const tags = [`-ExposureTime=${exif.shutterSeconds}`, `-FNumber=${exif.fNumber}`, `-ISO=${exif.iso}`];
    execFileSync('exiftool', ['-q', '-overwrite_original', ...tags, path]);
  }
  return readFile(path);
};

/** Bytes that stand for a RAW file: the photograph as a TIFF, which is what most RAW formats are inside. */
export const rawLike = async (which: keyof typeof photographs): Promise<Buffer> =>
  sharp(photographs[which]).tiff({compression: 'none'}).toBuffer();
