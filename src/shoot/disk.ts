import {type FileHandle, open, statfs} from 'node:fs/promises';

/** The system's code of a failed file operation, or an empty string. */
export const errorCode = (error: unknown): string =>
  error instanceof Error && 'code' in error && typeof error.code === 'string' ? error.code : '';

/** What file systems without fsync answer; there is nothing better to do there than to go on. */
const syncUnknown = new Set(['EINVAL', 'ENOTSUP', 'EOPNOTSUPP', 'ENOSYS', 'EPERM', 'EISDIR']);

/** Flushes a file to the disk, where the file system can. */
export const syncFile = async (handle: FileHandle): Promise<void> => {
  try {
    await handle.sync();
  } catch (error) {
    if (!syncUnknown.has(errorCode(error))) throw error;
  }
};

/** Flushes a folder, so that a new name in it outlives a power cut, where the system can. */
export const syncFolder = async (folder: string): Promise<void> => {
  let handle: FileHandle | null = null;
  try {
    handle = await open(folder, 'r');
    await syncFile(handle);
  } catch (error) {
    if (!syncUnknown.has(errorCode(error)) && errorCode(error) !== 'EACCES') throw error;
  } finally {
    await handle?.close();
  }
};

/** Bytes that may still be written in this folder; null where the system doesn't tell. */
export const freeBytes = async (folder: string): Promise<number | null> => {
  try {
    const {bavail, bsize} = await statfs(folder);
    return bavail * bsize;
  } catch {
    return null;
  }
};

const causes: Record<string, string> = {
  ENOSPC: 'the disk is full: free some space',
  EDQUOT: 'your quota on this disk is used up: free some space',
  EROFS: 'this disk can only be read: choose a folder on another one',
  EACCES: 'you may not write there: change the permissions or choose another folder',
  EPERM: 'you may not write there: change the permissions or choose another folder',
  ENOENT: 'the folder is gone: put it back or plug its disk in again',
  ENOTDIR: 'a file stands where a folder is needed: choose another folder',
  EISDIR: 'a folder stands where a file is needed: move it away',
  EIO: 'the disk reports an error: check the disk and its cable',
  ENODEV: 'the disk is gone: plug it in again',
  ESTALE: 'the network folder is gone: connect it again',
  EMFILE: 'too many files are open: close other programs',
  ENAMETOOLONG: 'the path is too long: choose a shorter one',
  ESPIPE: 'it is no plain file: move it away',
  REPLACED: 'another file was put in its place: close the shoot and open it again',
  EFBIG: 'the file is larger than this disk allows: choose another one',
};

/** Why the disk refused and what to do, as the end of a sentence: "the disk is full: free some space". */
export const diskTrouble = (error: unknown): string => {
  const code = errorCode(error);
  return causes[code] ?? (code ? `the system says ${code}` : 'the system gives no reason');
};
