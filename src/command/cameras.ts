import {createHash} from 'node:crypto';
import {stat} from 'node:fs/promises';
import path from 'node:path';
import envPaths from 'env-paths';
import {type Camera, CameraFault, type CameraStatus} from '../../shared/camera.js';
import type {Clock} from '../../shared/clock.js';
import {quote} from '../../shared/exposure.js';
import type {ObedientRoom} from '../../shared/room.js';
import {fastClock, systemClock} from '../shoot/cue-clock.js';
import type {CameraSource} from '../shoot/session.js';
import {UsageFault} from './complain.js';
import {logLibraryLine} from './library-log.js';

export type CameraOptions = {camera?: string; speed?: number; seed?: number};

/** Where the camera of a shoot comes from, and what comes with it. */
export type CameraChoice = {
  source: CameraSource;
  /** The room that arranges itself, once the simulated camera is open; null for a real one. */
  room(): ObedientRoom | null;
  clock: Clock;
  speed: number;
};

type Wanted = {kind: 'auto'} | {kind: 'studio'} | {kind: 'inbox'; folder: string} | {kind: 'gphoto2'; port: string};

const ways = 'write studio, inbox:FOLDER, usb or ip:HOST[:PORT]';

const wantedOf = (text: string | undefined): Wanted => {
  if (text === undefined) return {kind: 'auto'};
  if (text === 'studio') return {kind: 'studio'};
  if (text.startsWith('inbox:') && text.length > 6) return {kind: 'inbox', folder: path.resolve(text.slice(6))};
  if (/^(usb(:\d{1,3},\d{1,3})?|ip:[^\s:]+(:\d{1,5})?)$/.test(text)) return {kind: 'gphoto2', port: text};
  throw new UsageFault(`${quote(text)} is not a camera; ${ways}.`);
};

/** The simulated camera's card outlives the program, as a real one does: an exposure cut off by a crash is still on it. */
const cardFolderOf = (shootFolder: string): string => {
  const name = createHash('sha256').update(shootFolder).digest('hex').slice(0, 16);
  return path.join(envPaths('darkset', {suffix: ''}).temp, `card-${name}`);
};

/** A camera that has something more to say about itself: here, why the simulated one serves. */
const withNote = (camera: Camera, note: string): Camera => {
  const noted = (status: CameraStatus): CameraStatus => ({...status, notes: [...status.notes, note]});
  return {
    ...camera,
    status: async () => noted(await camera.status()),
    set: async change => noted(await camera.set(change)),
    focus: async step => noted(await camera.focus(step)),
    watch: listener => camera.watch(status => listener(noted(status))),
  };
};

/**
 * Chooses the camera. Without a wish: what is connected, else the studio.
 * @param shootFolder absolute
 * @throws UsageFault for a wish that can't be read or met
 */
export const chooseCamera = async (options: CameraOptions, shootFolder: string): Promise<CameraChoice> => {
  const wanted = wantedOf(options.camera);
  const simulatedOnly = options.speed !== undefined || options.seed !== undefined;
  if (simulatedOnly && wanted.kind !== 'auto' && wanted.kind !== 'studio') {
    throw new UsageFault('--speed and --seed are for the simulated room; leave them out with a real camera.');
  }
  if (wanted.kind === 'inbox' && !(await stat(wanted.folder).catch(() => null))?.isDirectory()) {
    throw new UsageFault(
      `There is no folder ${quote(wanted.folder)} to watch; make it, or name the one your camera fills.`,
    );
  }
  const speed = options.speed ?? 1;
  const clock = speed === 1 ? systemClock() : fastClock(speed);
  let room: ObedientRoom | null = null;

  const openStudio = async (): Promise<Camera> => {
    const studio = await import('../../adapters/studio/studio.js');
    const opened = await studio.openStudio({
      clock,
      cardFolder: cardFolderOf(shootFolder),
      ...(options.seed !== undefined && {seed: options.seed}),
    });
    room = opened.room;
    return opened.camera;
  };
  const openGphoto2 = async (port: string): Promise<Camera> => {
    const gphoto2 = await import('../../adapters/gphoto2/open.js');
    return gphoto2.openGphoto2({port, clock, log: logLibraryLine});
  };
  const openInbox = async (folder: string): Promise<Camera> => {
    const inbox = await import('../../adapters/inbox/inbox.js');
    return inbox.openInbox({folder, clock});
  };

  /** Once the studio has been opened for want of a camera, the shoot stays there: half a shoot in each would be no shoot. */
  let settled: Wanted | null = null;
  const openAuto = async (): Promise<Camera> => {
    let why: string | null = null;
    const {findCameras} = await import('../../adapters/gphoto2/find.js');
    const found = simulatedOnly
      ? []
      : await findCameras({log: logLibraryLine}).catch((error: Error) => {
          why = error.message;
          return [];
        });
    settled = found.length > 0 ? {kind: 'gphoto2', port: 'auto'} : {kind: 'studio'};
    const camera = await open(settled);
    return why === null ? camera : withNote(camera, why);
  };
  const open = (which: Wanted): Promise<Camera> => {
    switch (which.kind) {
      case 'auto':
        return openAuto();
      case 'studio':
        return openStudio();
      case 'inbox':
        return openInbox(which.folder);
      case 'gphoto2':
        return openGphoto2(which.port);
    }
  };
  return {
    source: {
      open: () =>
        open(settled ?? wanted).catch(error => {
          throw error instanceof CameraFault ? error : new CameraFault('broken', String(error?.message ?? error));
        }),
    },
    room: () => room,
    clock,
    speed,
  };
};
