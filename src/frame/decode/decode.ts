import {fileLabel} from '../fault.js';
import type {Picture} from '../picture.js';
import type {CodedImage} from './coded.js';
import {type FrameExif, readExif} from './exif.js';
import {type OpenedPicture, openPixels} from './pixels.js';
import {openPicture, type PictureSource} from './source.js';

/** Long edge that frames and plates are decoded to, in pixels: a quarter of 24 MP, which JPEG decodes to at once. */
const DECODED_EDGE = 1500;

/** A frame or plate, decoded small. */
export type DecodedFrame = {
  /** The file's own name, fit to be shown. */
  label: string;
  /** Size of the whole picture, upright. */
  width: number;
  height: number;
  image: CodedImage;
  exif: FrameExif;
  /** True where a RAW file's embedded preview was decoded. */
  preview: boolean;
};

const asThreeChannels = <Samples extends Uint8Array | Uint16Array>(grey: Samples, rgb: Samples): Samples => {
  for (let at = 0, out = 0; at < grey.length; at++) {
    rgb[out++] = grey[at]!;
    rgb[out++] = grey[at]!;
    rgb[out++] = grey[at]!;
  }
  return rgb;
};

const pixelsOf = async (picture: OpenedPicture, edge: number): Promise<CodedImage> => {
  const sized = picture.sized(edge, edge);
  if (picture.depth === 8) {
    const {data, info} = await picture.run(sized.toColourspace('srgb').raw().toBuffer({resolveWithObject: true}));
    const rgb = info.channels === 1 ? asThreeChannels(data as Uint8Array, new Uint8Array(data.length * 3)) : data;
    return {width: info.width, height: info.height, depth: 8, rgb};
  }
  const {data, info} = await picture.run(
    sized.toColourspace('rgb16').raw({depth: 'ushort'}).toBuffer({resolveWithObject: true}),
  );
  const samples = new Uint16Array(data.buffer, data.byteOffset, data.length / 2);
  const rgb = info.channels === 1 ? asThreeChannels(samples, new Uint16Array(samples.length * 3)) : samples;
  return {width: info.width, height: info.height, depth: 16, rgb};
};

/** The Exif tags of the file; what it doesn't say itself, an embedded preview may. */
const exifOf = async (source: PictureSource, picture: OpenedPicture): Promise<FrameExif> => {
  const inside = await readExif(picture.exif ?? source.picture);
  if (!source.exif) return inside;
  const around = await readExif(source.exif);
  return {takenAt: around.takenAt ?? inside.takenAt, exposure: around.exposure ?? inside.exposure};
};

/**
 * Decodes a picture file to at most 1500 px on its long edge: upright, converted to sRGB by its ICC profile, 8 or 16 bit.
 * RAW files give their largest embedded JPEG.
 * @throws FrameFault in one sentence that names the file
 */
export const decodeFrame = async (path: string): Promise<DecodedFrame> => {
  const source = await openPicture(path);
  const picture = await openPixels(path, source);
  const [image, exif] = await Promise.all([pixelsOf(picture, DECODED_EDGE), exifOf(source, picture)]);
  const {width, height} = picture;
  return {label: fileLabel(path), width, height, image, exif, preview: source.preview};
};

/**
 * A picture that fits into this box in pixels, keeping its shape, in 8-bit sRGB.
 * @throws FrameFault
 */
export const decodePicture = async (path: string, maxWidth: number, maxHeight: number): Promise<Picture> => {
  const picture = await openPixels(path, await openPicture(path));
  const {data, info} = await picture.run(
    picture
      .sized(Math.max(1, Math.floor(maxWidth)), Math.max(1, Math.floor(maxHeight)))
      .toColourspace('srgb')
      .raw()
      .toBuffer({resolveWithObject: true}),
  );
  const rgb = info.channels === 1 ? asThreeChannels(data as Uint8Array, new Uint8Array(data.length * 3)) : data;
  return {width: info.width, height: info.height, rgb: new Uint8Array(rgb.buffer, rgb.byteOffset, rgb.length)};
};
