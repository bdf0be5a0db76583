import type {CardFile, Storage} from '../messages.js';
import {bytesAt, release, SIZE, stableMemory} from './bindings.js';
import type {Connection} from './connection.js';
import {CODE, LibraryFault} from './fault.js';
import {listed} from './lists.js';

/** Guards against a card whose folders go in circles. */
const MOST_FOLDERS = 2000;
const MOST_FILES = 50_000;
const DEEPEST = 10;

/** Where the fields stand in CameraFileInfo's part on the file itself (gphoto2-filesys.h). */
const INFO = {fields: 88, size: 96, mime: 104, mimeLength: 64, madeAt: 184};
const HAS = {size: 1 << 2, mime: 1 << 0, madeAt: 1 << 7};

/** Where the fields stand in CameraStorageInformation. */
const STORAGE = {access: 780, freeKib: 792, freeFrames: 800};
const STORAGE_HAS = {access: 1 << 4, freeKib: 1 << 7, freeFrames: 1 << 8};

const textIn = (bytes: Buffer, at: number, length: number): string => {
  const field = bytes.subarray(at, at + length);
  const end = field.indexOf(0);
  return field.toString('utf8', 0, end < 0 ? length : end);
};

/**
 * Size, kind and time of one file on the card, as far as the camera tells.
 * @param check called with the library's code of the answer
 */
export const describe = async (
  connection: Connection,
  folder: string,
  name: string,
  check: (code: number) => void = () => undefined,
): Promise<CardFile> => {
  const {library, context, camera} = connection.opened;
  const memory = stableMemory(SIZE.fileInfo);
  try {
    memory.bytes.fill(0);
    const code = await library.fileInfo(camera, folder, name, memory.pointer, context);
    check(code);
    const fields = code < 0 ? 0 : memory.bytes.readInt32LE(INFO.fields);
    const madeAt = Number(memory.bytes.readBigInt64LE(INFO.madeAt));
    return {
      folder,
      name,
      bytes: fields & HAS.size ? Number(memory.bytes.readBigUInt64LE(INFO.size)) : null,
      mime: fields & HAS.mime ? textIn(memory.bytes, INFO.mime, INFO.mimeLength) : '',
      madeAtSeconds: fields & HAS.madeAt && madeAt > 0 ? madeAt : null,
    };
  } finally {
    memory.free();
  }
};

/** A camera that is gone, or has no time now, has not said what is on its card. */
const UNTOLD: readonly number[] = [CODE.io, CODE.timeout, CODE.busy];

const insist = (code: number): void => {
  if (UNTOLD.includes(code)) throw new LibraryFault(code, 'The card could not be read', code !== CODE.busy);
};

/**
 * Every file on the card, folder by folder. A folder that can't be read is passed over.
 * @throws LibraryFault when the camera does not answer, or is busy
 */
export const listCard = async (connection: Connection): Promise<CardFile[]> => {
  const {library, context, camera} = connection.opened;
  const files: CardFile[] = [];
  const open: {folder: string; depth: number}[] = [{folder: '/', depth: 0}];
  for (let next = 0; next < open.length && next < MOST_FOLDERS && files.length < MOST_FILES; next += 1) {
    const {folder, depth} = open[next]!;
    const names = await listed(library, list => library.cameraFiles(camera, folder, list, context));
    insist(names.code);
    for (const {name} of names.entries) files.push(await describe(connection, folder, name, insist));
    if (depth >= DEEPEST) continue;
    const folders = await listed(library, list => library.cameraFolders(camera, folder, list, context));
    insist(folders.code);
    for (const {name} of folders.entries) {
      open.push({folder: folder === '/' ? `/${name}` : `${folder}/${name}`, depth: depth + 1});
    }
  }
  return files.slice(0, MOST_FILES);
};

/** Room on each card. */
export const readStorages = async (connection: Connection): Promise<Storage[]> => {
  const {library, context, camera} = connection.opened;
  const into: (bigint | null)[] = [null];
  const count = [0];
  await connection.call(() => library.cameraStorages(camera, into, count, context));
  const bytes = bytesAt(into[0]!, Math.min(16, count[0]!) * SIZE.storage);
  release(into[0]!);
  return Array.from({length: bytes.length / SIZE.storage}, (_, index) => {
    const at = index * SIZE.storage;
    const fields = bytes.readInt32LE(at);
    return {
      writable: !(fields & STORAGE_HAS.access) || bytes.readInt32LE(at + STORAGE.access) === 0,
      freeBytes: fields & STORAGE_HAS.freeKib ? Number(bytes.readBigUInt64LE(at + STORAGE.freeKib)) * 1024 : null,
      freeFrames: fields & STORAGE_HAS.freeFrames ? Number(bytes.readBigUInt64LE(at + STORAGE.freeFrames)) : null,
    };
  });
};
