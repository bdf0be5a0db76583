import type {FileHandle} from 'node:fs/promises';

/** Reads ranges of a file that is too large to be read whole. Ranges beyond the end come back shorter. */
export type ByteReader = {size: number; read(offset: number, length: number): Promise<Buffer>};

/** @param size the file's length in bytes */
export const fileReader = (handle: FileHandle, size: number): ByteReader => ({
  size,
  async read(offset, length) {
    const wanted = Math.max(0, Math.min(length, size - offset));
    const bytes = Buffer.allocUnsafe(wanted);
    let done = 0;
    while (done < wanted) {
      const {bytesRead} = await handle.read(bytes, done, wanted - done, offset + done);
      if (bytesRead === 0) break;
      done += bytesRead;
    }
    return bytes.subarray(0, done);
  },
});
