import type {FileHandle} from 'node:fs/promises';

/** What disks without fsync answer; memory cards and some network drives are such. */
const unknown = new Set(['EINVAL', 'ENOTSUP', 'EOPNOTSUPP', 'ENOSYS', 'EPERM']);

/** Flushes a file to its disk, where that can be done. */
export const flushFile = async (handle: FileHandle): Promise<void> => {
  try {
    await handle.sync();
  } catch (error) {
    const code = error instanceof Error && 'code' in error ? String(error.code) : '';
    if (!unknown.has(code)) throw error;
  }
};
