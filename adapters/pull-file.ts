import {constants} from 'node:fs';
import {type FileHandle, open, rm} from 'node:fs/promises';
import {CameraFault} from '../shared/camera.js';
import {flushFile} from './flush.js';

const BLOCK = 256 * 1024;
/** A link put in the file's place at the last moment is not followed. */
const READ_PLAIN = constants.O_RDONLY | (constants.O_NOFOLLOW ?? 0);

type Progress = (bytes: number, total: number) => void;

const codeOf = (error: unknown): string =>
  error instanceof Error && 'code' in error && typeof error.code === 'string' ? error.code : '';

const copyBlocks = async (
  source: FileHandle,
  target: FileHandle,
  name: string,
  progress: Progress,
  signal: AbortSignal,
): Promise<void> => {
  const total = (await source.stat()).size;
  const block = Buffer.allocUnsafe(BLOCK);
  let done = 0;
  progress(0, total);
  for (;;) {
    if (signal.aborted) throw new CameraFault('stopped', `The pull of ${name} was stopped.`);
    const {bytesRead} = await source.read(block, 0, BLOCK, done);
    if (bytesRead === 0) break;
    // A disk that is nearly full takes less than it is given before it says so.
    for (let written = 0; written < bytesRead; ) {
      written += (await target.write(block, written, bytesRead - written, done + written)).bytesWritten;
    }
    done += bytesRead;
    progress(done, Math.max(done, total));
  }
  if (done !== total || (await source.stat()).size !== total) {
    throw new CameraFault('lost', `The frame ${name} changed while it was pulled; pull it again.`);
  }
  await flushFile(target);
};

/**
 * Copies a frame that lies on a disk of this machine to `to`, which must not exist, in blocks; checks that every byte
 * came through. A pull that fails leaves no file behind; the original is only read.
 * @param name what to call the frame in a fault, already plain
 * @throws CameraFault `stopped`, `lost` (not there, or cut short), `full` (no room here), `broken`
 */
export const pullFile = async (
  from: string,
  to: string,
  name: string,
  progress: Progress,
  signal: AbortSignal,
): Promise<void> => {
  if (signal.aborted) throw new CameraFault('stopped', `The pull of ${name} was stopped.`);
  const source = await open(from, READ_PLAIN).catch(() => {
    throw new CameraFault('lost', `The frame ${name} is not there any more; look whether it was moved or deleted.`);
  });
  try {
    const target = await open(to, 'wx').catch((error: unknown) => {
      const why = codeOf(error) === 'EEXIST' ? 'a file of that name is there already' : 'its folder can’t be written';
      throw new CameraFault('broken', `The frame ${name} can’t be put into the shoot: ${why}.`);
    });
    try {
      await copyBlocks(source, target, name, progress, signal);
    } catch (error) {
      await rm(to, {force: true});
      if (error instanceof CameraFault) throw error;
      throw codeOf(error) === 'ENOSPC'
        ? new CameraFault('full', `There is no room left on this machine’s disk for ${name}.`)
        : new CameraFault('broken', `The frame ${name} can’t be read or written; look at the disks.`);
    } finally {
      await target.close();
    }
  } finally {
    await source.close();
  }
};
