import {createHash} from 'node:crypto';
import {writeFile} from 'node:fs/promises';
import {type Camera, CameraFault, type CameraStatus, type FrameOnCamera} from '../../shared/camera.js';
import type {Exposure} from '../../shared/exposure.js';

export type StillOptions = {
  /** The files that one exposure makes: their names' endings, and how long they are. */
  files?: {ending: string; kind: FrameOnCamera['kind']; bytes: number}[];
  /** Real seconds that one asked second lasts. */
  pace?: number;
  /** What the next frame is called, without its ending. */
  name?(count: number): string;
  exposure?: Exposure;
};

/** Bytes that look like nothing else and are the same every time. */
export const stillBytes = (seed: string, length: number): Buffer => {
  const block = createHash('sha512').update(seed).digest();
  const bytes = Buffer.alloc(length);
  for (let at = 0; at < length; at += block.length) {
    block.writeUInt32LE(at, 0);
    block.copy(bytes, at);
  }
  return bytes;
};

/**
 * A camera that does as it is told and makes files of known bytes: for what needs no picture, and for names and
 * refusals that no proper camera would have.
 */
export const createStillCamera = (options: StillOptions = {}) => {
  const files = options.files ?? [{ending: '.JPG', kind: 'jpeg' as const, bytes: 100_000}];
  const pace = options.pace ?? 0.02;
  let exposure: Exposure = options.exposure ?? {shutterSeconds: 8, fNumber: 8, iso: 100};
  let focusMode: 'manual' | 'auto' = 'auto';
  let count = 0;
  const opened: {seconds: number; lastedSeconds: number}[] = [];
  const state = {full: false, busy: false, refuse: null as keyof Exposure | null, batteryPercent: 80, freeBytes: 20e9};

  const status = (): CameraStatus => ({
    exposure,
    focusMode,
    focusLocked: focusMode === 'manual',
    format: files.length > 1 ? 'raw+jpeg' : (files[0]?.kind ?? 'jpeg'),
    batteryPercent: state.batteryPercent,
    freeBytes: state.freeBytes,
    freeFrames: Math.floor(state.freeBytes / 25e6),
    clockDifferenceSeconds: 0,
    can: {setExposure: true, openShutter: true, focusDrive: true, probe: true},
    notes: [],
  });

  const open = (seconds: number, signal: AbortSignal): Promise<void> =>
    new Promise(resolve => {
      const timer = setTimeout(resolve, seconds * pace * 1000);
      signal.addEventListener('abort', () => {
        clearTimeout(timer);
        resolve();
      });
    });

  const camera: Camera = {
    identity: {kind: 'studio', maker: '', model: '', serial: '', port: ''},
    status: async () => status(),
    watch: () => () => undefined,
    async set(change) {
      if (state.refuse !== null && state.refuse in change) throw new CameraFault('refused', 'No.');
      exposure = {...exposure, ...change};
      return status();
    },
    async focus(step) {
      if (step === 'lock') focusMode = 'manual';
      return status();
    },
    async expose({seconds, signal, onOpen, onClose}) {
      if (state.full) throw new CameraFault('full', 'No room.');
      if (state.busy) throw new CameraFault('busy', 'Busy.');
      const begun = performance.now();
      onOpen();
      await open(seconds, signal);
      onClose();
      opened.push({seconds, lastedSeconds: (performance.now() - begun) / 1000});
      count += 1;
      const name = options.name?.(count) ?? `LOOP${String(count).padStart(4, '0')}`;
      return files.map(file => ({folder: '/', name: `${name}${file.ending}`, kind: file.kind, bytes: file.bytes}));
    },
    async pull(frame, path) {
      await writeFile(path, stillBytes(frame.name, frame.bytes ?? 0), {flag: 'wx'});
    },
    strays: async () => [],
    close: async () => undefined,
  };
  return {camera, opened, state};
};

export type StillCamera = ReturnType<typeof createStillCamera>;
