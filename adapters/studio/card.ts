import {mkdir, mkdtemp, open, readdir, rename, rm, stat} from 'node:fs/promises';
import {tmpdir} from 'node:os';
import {join} from 'node:path';
import {CameraFault, type FrameOnCamera} from '../../shared/camera.js';

/** The folder that frames lie in, as cameras name theirs. */
const FOLDER = '/DCIM/100ROOM';

/** The camera's card: a folder of this machine, gone with the camera unless one was given to keep. */
export type Card = {
  /** Writes a frame under the next number. */
  store(jpeg: Uint8Array): Promise<FrameOnCamera>;
  frames(sinceMs: number): Promise<FrameOnCamera[]>;
  /** Where a frame's bytes are. @throws CameraFault `lost` */
  pathOf(frame: FrameOnCamera): Promise<{path: string; bytes: number}>;
  eject(): Promise<void>;
};

const frameName = /^ROOM(\d{4})\.JPG$/;

export const insertCard = async (kept: string | null): Promise<Card> => {
  const folder = kept ?? (await mkdtemp(join(tmpdir(), 'darkset-card-')));
  await mkdir(folder, {recursive: true});
  const numbers = (await readdir(folder)).map(name => Number(frameName.exec(name)?.[1] ?? 0));
  let last = Math.max(0, ...numbers);
  return {
    store: async jpeg => {
      last += 1;
      const name = `ROOM${String(last).padStart(4, '0')}.JPG`;
      const file = await open(join(folder, `${name}.part`), 'w');
      try {
        await file.writeFile(jpeg);
      } finally {
        await file.close();
      }
      await rename(join(folder, `${name}.part`), join(folder, name));
      return {folder: FOLDER, name, kind: 'jpeg', bytes: jpeg.byteLength};
    },
    frames: async sinceMs => {
      const names = (await readdir(folder)).filter(name => frameName.test(name)).sort();
      const found = await Promise.all(names.map(async name => ({name, info: await stat(join(folder, name))})));
      return found
        .filter(({info}) => info.mtimeMs >= sinceMs)
        .map(({name, info}) => ({folder: FOLDER, name, kind: 'jpeg' as const, bytes: info.size}));
    },
    pathOf: async frame => {
      const lost = new CameraFault('lost', `The frame ${frame.name} is not on the camera's card any more.`);
      if (frame.folder !== FOLDER || !frameName.test(frame.name)) throw lost;
      const path = join(folder, frame.name);
      const info = await stat(path).catch(() => {
        throw lost;
      });
      return {path, bytes: info.size};
    },
    eject: async () => {
      if (kept === null) await rm(folder, {recursive: true, force: true});
    },
  };
};
