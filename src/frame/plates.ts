import {readdir} from 'node:fs/promises';
import {extname, join} from 'node:path';
import {type Zones, zonesSchema} from '../../shared/zones.js';
import {type DecodedFrame, decodeFrame} from './decode/decode.js';
import {FrameFault, fileLabel} from './fault.js';
import {readShortText} from './short-text.js';

/** One light's plate: that flash alone. */
export type LightPlate = {id: string; frame: DecodedFrame};

/** The plates of a folder, decoded. Any of them may be missing; `lights` are in the order of their letters. */
export type PlateSet = {
  dark: DecodedFrame | null;
  lights: LightPlate[];
  sitter: DecodedFrame | null;
  zones: Zones | null;
};

type PlateKind = {kind: 'dark'} | {kind: 'sitter'} | {kind: 'light'; id: string};

/** "dark", "sitter", "light-A", "Light_a", "lightA" or just "A", whatever the case. */
const kindOf = (stem: string): PlateKind | null => {
  const name = stem.trim().toLowerCase();
  if (name === 'dark' || name === 'sitter') return {kind: name};
  const letter = /^(?:light[\s._-]*)?([a-z])$/.exec(name)?.[1];
  return letter ? {kind: 'light', id: letter.toUpperCase()} : null;
};

/** Kinds of file that a plate may be, the best to measure from first: a JPEG decodes at once, RAW holds only a preview. */
const preference = ['.tif', '.tiff', '.png', '.jpg', '.jpeg', '.webp'];
const rank = (file: string): number => {
  const at = preference.indexOf(extname(file).toLowerCase());
  return at < 0 ? preference.length : at;
};
const notPictures = new Set(['.json', '.jsonl', '.txt', '.md', '.xmp', '.part', '.tmp', '']);

const LONGEST_ZONES_BYTES = 100_000;

const noneThere = (error: unknown): null => {
  if (error instanceof Error && 'code' in error && error.code === 'ENOENT') return null;
  throw error;
};

const readZones = async (folder: string): Promise<Zones | null> => {
  try {
    const text = await readShortText(join(folder, 'zones.json'), LONGEST_ZONES_BYTES).catch(noneThere);
    // Some editors begin a file with a mark of byte order, which RFC 8259 lets a reader pass over.
    return text === null ? null : zonesSchema.parse(JSON.parse(text.replace(/^\ufeff/, '')));
  } catch {
    throw new FrameFault(
      'broken',
      'zones.json beside the plates is not what it should be: {"face": {"cx", "cy", "rx", "ry"}} in fractions of the frame.',
    );
  }
};

/**
 * Loads a folder of plates: dark.*, light-A.*, light-B.* …, optionally sitter.* and zones.json.
 * @throws FrameFault when the folder holds no plate, or one that can't be read
 */
export const loadPlates = async (folder: string): Promise<PlateSet> => {
  const names = await readdir(folder).catch(() => {
    throw new FrameFault('missing', `The folder of plates, ${fileLabel(folder)}, is not there or may not be read.`);
  });
  const chosen = new Map<string, {kind: PlateKind; file: string}>();
  for (const file of names.sort()) {
    const extension = extname(file);
    if (file.startsWith('.') || notPictures.has(extension.toLowerCase())) continue;
    const kind = kindOf(file.slice(0, file.length - extension.length));
    if (!kind) continue;
    const key = kind.kind === 'light' ? kind.id : kind.kind;
    const before = chosen.get(key);
    if (!before || rank(file) < rank(before.file)) chosen.set(key, {kind, file});
  }
  if (chosen.size === 0) {
    throw new FrameFault(
      'missing',
      `${fileLabel(folder)} holds no plates; they are named dark.jpg, light-A.jpg, light-B.jpg and so on.`,
    );
  }
  const set: PlateSet = {dark: null, lights: [], sitter: null, zones: await readZones(folder)};
  for (const {kind, file} of [...chosen.values()].sort((a, b) => (a.file < b.file ? -1 : 1))) {
    const frame = await decodeFrame(join(folder, file));
    if (kind.kind === 'light') set.lights.push({id: kind.id, frame});
    else set[kind.kind] = frame;
  }
  set.lights.sort((a, b) => (a.id < b.id ? -1 : 1));
  return set;
};
