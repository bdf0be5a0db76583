import {constants} from 'node:fs';
import {open} from 'node:fs/promises';

/** A pipe in a file's place is opened at once and then refused, rather than waited for without end. */
export const READ_AT_ONCE = constants.O_RDONLY | (constants.O_NONBLOCK ?? 0);

/**
 * The text of a small file that somebody else may have written: a plain file of at most so many bytes, and nothing that
 * never ends.
 * @throws the system's error where it can't be read; a RangeError for what is no plain file or too long
 */
export const readShortText = async (path: string, mostBytes: number): Promise<string> => {
  const handle = await open(path, READ_AT_ONCE);
  try {
    const found = await handle.stat();
    if (!found.isFile() || found.size > mostBytes) throw new RangeError('not a plain file, or too long');
    return await handle.readFile('utf8');
  } finally {
    await handle.close();
  }
};
