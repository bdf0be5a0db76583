import {mkdtemp, readFile, rm, stat} from 'node:fs/promises';
import {tmpdir} from 'node:os';
import {join} from 'node:path';
import type {Camera, FrameOnCamera} from '../../shared/camera.js';
import {Writer} from './bytes.js';
import {FORMAT} from './codes.js';

export const STORAGE_ID = 0x00010001;
const ROOT_FOLDER = 1;
const PICTURE_FOLDER = 2;
const FIRST_FILE = 0x10;
const CAPACITY_BYTES = 32e9;

type Stored = {
  handle: number;
  parent: number;
  name: string;
  format: number;
  bytes: number;
  file: string | null;
  at: Date;
};

const twoDigits = (value: number): string => String(value).padStart(2, '0');

/** A moment as the protocol writes it, in the camera's own time zone: "20260131T235959". */
export const ptpDate = (at: Date): string =>
  `${at.getFullYear()}${twoDigits(at.getMonth() + 1)}${twoDigits(at.getDate())}T` +
  `${twoDigits(at.getHours())}${twoDigits(at.getMinutes())}${twoDigits(at.getSeconds())}`;

/** The loopback camera's card: what the camera behind it has made, as objects with handles. */
export const createCard = (camera: Camera, clockSkewMs: () => number) => {
  const folders: Stored[] = [
    {handle: ROOT_FOLDER, parent: 0, name: 'DCIM', format: FORMAT.folder, bytes: 0, file: null, at: new Date()},
    {
      handle: PICTURE_FOLDER,
      parent: ROOT_FOLDER,
      name: '100LOOPB',
      format: FORMAT.folder,
      bytes: 0,
      file: null,
      at: new Date(),
    },
  ];
  const objects = new Map(folders.map(folder => [folder.handle, folder]));
  let folder: Promise<string> | null = null;
  let nextHandle = FIRST_FILE;
  let open: {handle: number; bytes: Buffer} | null = null;

  return {
    /** Takes a frame over from the camera behind. @returns its handle */
    async add(frame: FrameOnCamera): Promise<number> {
      folder ??= mkdtemp(join(tmpdir(), 'loopback-card-'));
      const handle = nextHandle;
      nextHandle += 1;
      const file = join(await folder, String(handle));
      await camera.pull(frame, file, () => undefined, new AbortController().signal);
      const {size} = await stat(file);
      const format = frame.kind === 'jpeg' ? FORMAT.jpeg : FORMAT.undefined;
      const at = new Date(Date.now() + clockSkewMs());
      objects.set(handle, {handle, parent: PICTURE_FOLDER, name: frame.name, format, bytes: size, file, at});
      return handle;
    },
    handles: (parent: number): number[] => {
      const wanted = parent === 0xffffffff ? 0 : parent;
      const all = [...objects.values()];
      return (parent === 0 ? all : all.filter(object => object.parent === wanted)).map(object => object.handle);
    },
    info(handle: number): Buffer | null {
      const object = objects.get(handle);
      if (object === undefined) return null;
      const date = ptpDate(object.at);
      return new Writer()
        .u32(STORAGE_ID)
        .u16(object.format)
        .u16(0)
        .u32(object.bytes)
        .u16(0)
        .u32(0)
        .u32(0)
        .u32(0)
        .u32(0)
        .u32(0)
        .u32(0)
        .u32(object.parent)
        .u16(object.format === FORMAT.folder ? 1 : 0)
        .u32(0)
        .u32(0)
        .text(object.name)
        .text(date)
        .text(date)
        .text('')
        .done();
    },
    async bytes(handle: number): Promise<Buffer | null> {
      const file = objects.get(handle)?.file;
      if (file === undefined || file === null) return null;
      if (open?.handle !== handle) open = {handle, bytes: await readFile(file)};
      return open.bytes;
    },
    storage(freeBytes: number | null, freeFrames: number | null): Buffer {
      return new Writer()
        .u16(4)
        .u16(3)
        .u16(0)
        .u64(CAPACITY_BYTES)
        .u64(freeBytes ?? 0xffffffff)
        .u32(freeFrames ?? 0xffffffff)
        .text('card')
        .text('')
        .done();
    },
    async remove(): Promise<void> {
      if (folder !== null) await rm(await folder, {recursive: true, force: true});
    },
  };
};

export type Card = ReturnType<typeof createCard>;
