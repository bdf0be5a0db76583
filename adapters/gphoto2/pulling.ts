import {access, rename, rm} from 'node:fs/promises';
import {CameraFault, type FrameOnCamera} from '../../shared/camera.js';
import type {Frames} from './frames.js';
import type {Session} from './session.js';

const isThere = (path: string): Promise<boolean> =>
  access(path).then(
    () => true,
    () => false,
  );

/**
 * Brings a frame from the card to `path`, under another name until every byte is there and checked. Nothing on the card
 * is changed.
 * @throws CameraFault
 */
export const pullFrame = async (
  session: Session,
  frames: Frames,
  frame: FrameOnCamera,
  path: string,
  progress: (bytes: number, total: number) => void,
  signal: AbortSignal,
): Promise<void> => {
  const stopped = (): CameraFault => new CameraFault('stopped', `The pull of ${frame.name} was stopped.`);
  if (signal.aborted) throw stopped();
  if (await isThere(path)) {
    throw new CameraFault(
      'broken',
      `The frame ${frame.name} can’t be put into the shoot: a file of that name is there.`,
    );
  }
  const part = `${path}.part`;
  await rm(part, {force: true});
  let stop = (): void => undefined;
  const onAbort = (): void => stop();
  signal.addEventListener('abort', onAbort);
  try {
    const {bytes} = await session.ask<'pull'>(
      {do: 'pull', ...frames.fileOf(frame), path: part},
      `hand over ${frame.name}`,
      {
        onPull: progress,
        begun: id => {
          stop = () => void session.ask<'stop'>({do: 'stop', pull: id}, 'stop the pull').catch(() => undefined);
          if (signal.aborted) stop();
        },
      },
    );
    if (signal.aborted) throw stopped();
    if (frame.bytes !== null && frame.bytes !== bytes) {
      throw new CameraFault(
        'lost',
        `The frame ${frame.name} came with ${bytes} bytes instead of ${frame.bytes}; pull it again.`,
      );
    }
    await rename(part, path);
  } catch (fault) {
    // A process that was ended in the middle could not tidy up after itself.
    await rm(part, {force: true});
    if (signal.aborted) throw stopped();
    if (fault instanceof CameraFault) throw fault;
    throw new CameraFault('broken', `The frame ${frame.name} can’t be written; look at this machine’s disk.`);
  } finally {
    signal.removeEventListener('abort', onAbort);
  }
};
