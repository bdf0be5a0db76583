import {createHash} from 'node:crypto';
import {open, rm} from 'node:fs/promises';
import {type Camera, CameraFault, type CameraStatus, type FrameOnCamera} from '../../shared/camera.js';
import type {Clock} from '../../shared/clock.js';
import type {Exposure} from '../../shared/exposure.js';

export type FakeCamera = Camera & {
  /** Every exposure that was asked for, in seconds. */
  exposures: number[];
  /** What is on its card, name → bytes. */
  card: Map<string, {frame: FrameOnCamera; bytes: Buffer; madeAtMs: number}>;
  /** Makes the next call of this kind fail. */
  failNext(call: 'expose' | 'pull' | 'set' | 'status', error: unknown): void;
  /** A frame made by hand on the body. */
  makeByHand(name?: string): FrameOnCamera;
  change(patch: Partial<CameraStatus>): void;
  closed(): boolean;
};

export type FakeCameraOptions = {
  clock: Clock;
  /** RAW beside every JPEG. */
  raw?: boolean;
  /** The name of a frame, by its number; the camera's own, and as hostile as a test wants. */
  nameOf?: (frame: number) => string;
  status?: Partial<CameraStatus>;
  /** Pieces in which a pull arrives. */
  pullPieces?: number;
  /** A card that outlives this connection. */
  card?: FakeCamera['card'];
  frameBytes?: number;
};

export const fakeCamera = (options: FakeCameraOptions): FakeCamera => {
  const {clock, raw = false, nameOf = frame => `DSC_${String(frame).padStart(4, '0')}`, pullPieces = 2} = options;
  const card: FakeCamera['card'] = options.card ?? new Map();
  const failures = new Map<string, unknown>();
  const listeners = new Set<(status: CameraStatus) => void>();
  const handedOver = new Set<string>();
  let closed = false;
  let status: CameraStatus = {
    exposure: {shutterSeconds: 8, fNumber: 8, iso: 100},
    focusMode: 'manual',
    focusLocked: true,
    format: raw ? 'raw+jpeg' : 'jpeg',
    batteryPercent: 80,
    freeBytes: 1e10,
    freeFrames: 300,
    clockDifferenceSeconds: 0,
    can: {setExposure: true, openShutter: true, focusDrive: true, probe: true},
    notes: [],
    ...options.status,
  };

  const failing = (call: string): void => {
    if (closed) throw new CameraFault('gone', 'The camera was let go of.');
    const error = failures.get(call);
    failures.delete(call);
    if (error !== undefined) throw error;
  };
  const tell = (): void => {
    for (const listener of [...listeners]) listener(status);
  };
  const store = (name: string, kind: FrameOnCamera['kind']): FrameOnCamera => {
    const seed = createHash('sha256').update(name).digest();
    const bytes = Buffer.alloc(options.frameBytes ?? 4096, seed);
    const frame: FrameOnCamera = {folder: '/store/100', name, kind, bytes: bytes.length};
    card.set(name, {frame, bytes, madeAtMs: Date.now()});
    return frame;
  };
  const make = (): FrameOnCamera[] => {
    const name = nameOf(card.size + 1);
    return [store(`${name}.JPG`, 'jpeg'), ...(raw ? [store(`${name}.RAW`, 'raw')] : [])];
  };

  const exposures: number[] = [];
  return {
    identity: {kind: 'studio', maker: 'none', model: 'stand-in camera', serial: '1', port: 'test'},
    exposures,
    card,
    failNext: (call, error) => void failures.set(call, error),
    makeByHand: (name = `BY_HAND_${card.size + 1}.JPG`) => store(name, 'jpeg'),
    change(patch) {
      status = {...status, ...patch};
      tell();
    },
    closed: () => closed,
    async status() {
      failing('status');
      return status;
    },
    watch(listener) {
      listeners.add(listener);
      return () => listeners.delete(listener);
    },
    async set(change) {
      failing('set');
      if (status.exposure) status = {...status, exposure: {...status.exposure, ...change} as Exposure};
      tell();
      return status;
    },
    async focus(step) {
      status = {...status, focusMode: step === 'lock' ? 'manual' : 'auto', focusLocked: step === 'lock'};
      tell();
      return status;
    },
    async expose({seconds, signal, onOpen, onClose}) {
      failing('expose');
      exposures.push(seconds);
      onOpen();
      await clock.until(clock.now() + seconds * 1000, signal).catch(() => undefined);
      onClose();
      const frames = make();
      for (const {name} of frames) handedOver.add(name);
      return frames;
    },
    async pull(frame, file, progress, signal) {
      failing('pull');
      const found = card.get(frame.name);
      if (!found) throw new CameraFault('lost', `${frame.name} is not on the camera.`);
      const handle = await open(file, 'wx');
      try {
        const {bytes} = found;
        for (let piece = 0; piece < pullPieces; piece++) {
          signal.throwIfAborted();
          const from = Math.floor((bytes.length * piece) / pullPieces);
          const to = Math.floor((bytes.length * (piece + 1)) / pullPieces);
          await handle.write(bytes.subarray(from, to));
          progress(to, bytes.length);
        }
        await handle.close();
      } catch (error) {
        await handle.close();
        await rm(file, {force: true});
        throw signal.aborted ? new CameraFault('stopped', 'The pull was stopped.') : error;
      }
    },
    async strays(sinceMs) {
      failing('status');
      return [...card.values()]
        .filter(({frame, madeAtMs}) => madeAtMs >= sinceMs - 1000 && !handedOver.has(frame.name))
        .map(({frame}) => frame);
    },
    async close() {
      closed = true;
    },
  };
};
