import {open} from 'node:fs/promises';
import {extname} from 'node:path';
import {FrameFault, fileLabel} from '../fault.js';
import {READ_AT_ONCE} from '../short-text.js';
import {previewOfBaseMedia} from './base-media-preview.js';
import {type ByteReader, fileReader} from './byte-reader.js';
import {previewOfTiff} from './tiff-preview.js';

/** The most bytes that are read of a picture file: far beyond a 100 MP JPEG or 16-bit TIFF. */
const MOST_PICTURE_BYTES = 1_500_000_000;

/** The bytes that can be decoded as a picture, and where the Exif tags stand. */
export type PictureSource = {
  picture: Buffer;
  /** A file or block that holds the Exif tags, where they aren't in the picture's own bytes. */
  exif: Buffer | null;
  /** Exif orientation (1 to 8) of an embedded preview that has none of its own. */
  orientation: number | null;
  /** True where the picture is a RAW file's embedded preview. */
  preview: boolean;
};

const ordinaryTiff = new Set(['.tif', '.tiff']);
const causes: Record<string, string> = {
  ENOENT: 'is not there',
  EACCES: 'may not be read with these permissions',
  EPERM: 'may not be read with these permissions',
  EISDIR: 'is a folder, not a picture',
};

const readFault = (path: string, error: unknown): FrameFault => {
  const code = error instanceof Error && 'code' in error ? String(error.code) : '';
  return new FrameFault(
    code === 'ENOENT' ? 'missing' : 'unreadable',
    `${fileLabel(path)} ${causes[code] ?? `could not be read from the disk (${code || 'unknown cause'})`}.`,
  );
};

const isTiffLike = (head: Buffer): boolean => {
  const order = head.toString('latin1', 0, 2);
  if (order !== 'II' && order !== 'MM') return false;
  const magic = order === 'II' ? head.readUInt16LE(2) : head.readUInt16BE(2);
  // 42 is TIFF 6.0; RAW makers also write 0x55, 0x4f52 and 0x5352 into otherwise ordinary TIFF headers.
  return magic === 42 || magic === 0x55 || magic === 0x4f52 || magic === 0x5352;
};

/** The fault of a file that is none of the kinds that are read. */
export const noPicture = (path: string): FrameFault =>
  new FrameFault(
    'foreign',
    `${fileLabel(path)} is not a picture that darkset reads: JPEG, PNG, TIFF, WebP, or the JPEG inside a RAW file (TIFF-based or CR3).`,
  );

/**
 * Whether a file begins as one of the kinds that are read. The decoder knows more of them: drawings, which could name
 * other files, and moving pictures. None of them comes out of a camera, so none gets that far.
 */
const isReadKind = (head: Buffer): boolean => {
  const text = head.toString('latin1');
  return (
    text.startsWith('\xff\xd8\xff') ||
    text.startsWith('\x89PNG\r\n\x1a\n') ||
    // TIFF 6.0, and BigTIFF, which has 43 for 42.
    /^(?:II[*+]\0|MM\0[*+])/.test(text) ||
    (text.startsWith('RIFF') && text.startsWith('WEBP', 8))
  );
};

const isRawMedia = (head: Buffer): boolean => head.toString('latin1', 4, 12) === 'ftypcrx ';

/** The embedded JPEG of a RAW file, or null where the file is an ordinary picture. */
const embeddedPreview = async (path: string, head: Buffer, reader: ByteReader): Promise<PictureSource | null> => {
  const isMedia = isRawMedia(head);
  const isTiff = isTiffLike(head) && !ordinaryTiff.has(extname(path).toLowerCase());
  if (!isMedia && !isTiff) return null;
  const found = await (isMedia ? previewOfBaseMedia(reader) : previewOfTiff(reader));
  if (found === null && isTiff) return null;
  if (found === null) {
    throw new FrameFault('foreign', `${fileLabel(path)} is a RAW file without a preview that could be measured.`);
  }
  return {...found, preview: true};
};

/**
 * Opens a picture file: its own bytes, or for a RAW file those of its largest embedded JPEG.
 * @throws FrameFault in one sentence that names the file
 */
export const openPicture = async (path: string): Promise<PictureSource> => {
  const handle = await open(path, READ_AT_ONCE).catch((error: unknown) => {
    throw readFault(path, error);
  });
  try {
    const stat = await handle.stat();
    if (!stat.isFile()) throw new FrameFault('unreadable', `${fileLabel(path)} is not a file.`);
    if (stat.size === 0) throw new FrameFault('empty', `${fileLabel(path)} is empty; it may still be on its way.`);
    const reader = fileReader(handle, stat.size);
    const head = await reader.read(0, 16);
    const preview = head.length === 16 ? await embeddedPreview(path, head, reader) : null;
    if (preview) return preview;
    if (!isReadKind(head)) throw noPicture(path);
    if (stat.size > MOST_PICTURE_BYTES) {
      throw new FrameFault('huge', `${fileLabel(path)} is too large to be a picture that could be measured.`);
    }
    return {picture: await reader.read(0, stat.size), exif: null, orientation: null, preview: false};
  } catch (error) {
    throw error instanceof FrameFault ? error : readFault(path, error);
  } finally {
    await handle.close();
  }
};
