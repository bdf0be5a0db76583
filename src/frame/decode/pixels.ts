import sharp, {type Metadata, type Sharp} from 'sharp';
import {FrameFault, fileLabel} from '../fault.js';
import {isPlainProfile} from './plain-profile.js';
import {noPicture, type PictureSource} from './source.js';

/** 268 MP, twice what the largest still cameras make; beyond it a file is a bomb. */
const MOST_PIXELS = 16_384 * 16_384;

const damaged = (path: string): FrameFault =>
  new FrameFault('broken', `${fileLabel(path)} is damaged or cut off; it could not be decoded.`);

const decodeFault = (path: string, error: unknown): FrameFault => {
  const cause = error instanceof Error ? error.message : '';
  if (/pixel limit/i.test(cause)) {
    return new FrameFault('huge', `${fileLabel(path)} has more than ${Math.round(MOST_PIXELS / 1e6)} megapixels.`);
  }
  if (/unsupported image format|unsupported file/i.test(cause)) return noPicture(path);
  return damaged(path);
};

/** Orientations that turn a picture on its side (Exif 5 to 8). */
const isSideways = (orientation: number): boolean => orientation >= 5 && orientation <= 8;

/**
 * Applies an Exif orientation that the picture's own bytes don't carry. However they are called, sharp mirrors before it
 * turns.
 */
const oriented = (image: Sharp, orientation: number | null): Sharp => {
  switch (orientation) {
    case 2:
      return image.flop();
    case 3:
      return image.rotate(180);
    case 4:
      return image.flip();
    case 5:
      return image.flop().rotate(270);
    case 6:
      return image.rotate(90);
    case 7:
      return image.flop().rotate(90);
    case 8:
      return image.rotate(270);
    default:
      return image;
  }
};

export type OpenedPicture = {
  /** Size of the whole picture, upright, in pixels. */
  width: number;
  height: number;
  depth: 8 | 16;
  /** The picture's own Exif block, a TIFF of tags; null where it has none that the decoder knows of. */
  exif: Buffer | null;
  /** A pipeline that decodes upright to at most this size, keeping the shape and never enlarging. */
  sized(maxWidth: number, maxHeight: number): Sharp;
  /** Runs a pipeline; a failure becomes a FrameFault. */
  run<Result>(work: Promise<Result>): Promise<Result>;
};

const EXIF_MARK = Buffer.from('Exif\0\0');

const withoutMark = (exif: Buffer): Buffer =>
  exif.subarray(0, EXIF_MARK.length).equals(EXIF_MARK) ? exif.subarray(EXIF_MARK.length) : exif;

const metadataOf = async (path: string, image: Sharp): Promise<Metadata> => {
  try {
    return await image.metadata();
  } catch (error) {
    throw decodeFault(path, error);
  }
};

/**
 * Looks at a picture's header and prepares its decoding.
 * @throws FrameFault for what can't be decoded, and for CMYK, whose inks say nothing about light
 */
export const openPixels = async (path: string, source: PictureSource): Promise<OpenedPicture> => {
  const options = {limitInputPixels: MOST_PIXELS, failOn: 'error', pages: 1} as const;
  const metadata = await metadataOf(path, sharp(source.picture, options));
  const {width, height, space, depth} = metadata;
  if (space === 'cmyk') {
    throw new FrameFault(
      'foreign',
      `${fileLabel(path)} is in CMYK, which is for printing; save it as an RGB picture to measure it.`,
    );
  }
  if (!width || !height) throw damaged(path);
  const ignoreIcc = space === 'srgb' && metadata.icc !== undefined && (await isPlainProfile(metadata.icc));
  const foreignTurn = metadata.orientation === undefined ? source.orientation : null;
  const sideways = isSideways(metadata.orientation ?? foreignTurn ?? 1);
  return {
    width: sideways ? height : width,
    height: sideways ? width : height,
    exif: metadata.exif ? withoutMark(metadata.exif) : null,
    depth: depth === 'uchar' || depth === 'char' ? 8 : 16,
    sized(maxWidth, maxHeight) {
      const base = sharp(source.picture, {...options, ignoreIcc});
      const upright = foreignTurn === null ? base.autoOrient() : oriented(base, foreignTurn);
      const box =
        foreignTurn !== null && sideways ? ([maxHeight, maxWidth] as const) : ([maxWidth, maxHeight] as const);
      const small = upright
        .resize(box[0], box[1], {fit: 'inside', withoutEnlargement: true})
        .flatten({background: '#000000'});
      // sharp takes 16-bit colours through their profile to Display P3 and leaves them there; this goes on to sRGB.
      return space === 'rgb16' && metadata.icc ? small.withIccProfile('srgb') : small;
    },
    async run(work) {
      try {
        return await work;
      } catch (error) {
        throw decodeFault(path, error);
      }
    },
  };
};
