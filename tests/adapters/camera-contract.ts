import {mkdtemp, readFile, rm, stat, writeFile} from 'node:fs/promises';
import {tmpdir} from 'node:os';
import {join} from 'node:path';
import {afterAll, beforeAll, describe, expect, it} from 'vitest';
import {
  type Camera,
  CameraFault,
  type CameraFaultCause,
  type CameraStatus,
  cameraIdentitySchema,
  cameraStatusSchema,
  type FrameOnCamera,
  frameOnCameraSchema,
} from '../../shared/camera.js';
import {plainText} from '../../shared/plain-text.js';

/** A camera on the bench, and the hands that a test needs around it. Hands that a kind of camera hasn't got are left out. */
export type Bench = {
  camera: Camera;
  /** Length of a test exposure, seconds of the camera's own clock. */
  seconds: number;
  /** A long exposure that only an abort ends in good time. */
  longSeconds: number;
  /** Where the exposure is started by hand: makes one frame, called when the shutter is said to be open. */
  release?: () => Promise<void>;
  /** Makes a frame by hand that no `expose` asked for. */
  makeStray?: () => Promise<void>;
  /** Turns a dial on the body. */
  turnDial?: () => Promise<void>;
  /** Takes the camera away, and brings it back. */
  takeAway?: () => Promise<void>;
  bringBack?: () => Promise<void>;
  /** Cleans up; the camera may be closed already. */
  clear(): Promise<void>;
};

const never = new AbortController().signal;
const ignore = (): void => undefined;

const faultOf = async (work: Promise<unknown>): Promise<CameraFault> => {
  const outcome = await work.then(
    value => ({value}),
    (error: unknown) => ({error}),
  );
  if (!('error' in outcome)) throw new Error(`expected a fault, got ${JSON.stringify(outcome.value)}`);
  expect(outcome.error).toBeInstanceOf(CameraFault);
  return outcome.error as CameraFault;
};

/** The fault has this cause and reads as a sentence for a person. */
const expectFault = async (work: Promise<unknown>, reason: CameraFaultCause): Promise<void> => {
  const fault = await faultOf(work);
  expect(fault.reason).toBe(reason);
  expect(fault.message).toMatch(/^\S.{8,300}\.$/);
  expect(plainText(fault.message)).toBe(fault.message);
};

const isThere = (path: string): Promise<boolean> =>
  stat(path).then(
    () => true,
    () => false,
  );

/**
 * Holds a kind of camera to the contract of shared/camera.ts. What a camera says it can't (status().can) it must refuse
 * as `unable`; everything else is asked of all alike.
 * @param make sets up a fresh camera; called several times
 */
export const holdToContract = (name: string, make: () => Promise<Bench>): void => {
  describe(`${name} keeps the contract of a camera`, () => {
    let bench: Bench;
    let folder: string;

    /** One exposure, start to finish, with what was heard on the way. */
    const exposeOn = async (on: Bench, signal = never, seconds = on.seconds) => {
      const heard: string[] = [];
      const released: Promise<void>[] = [];
      const frames = await on.camera.expose({
        seconds,
        signal,
        onOpen: () => {
          heard.push('open');
          if (on.release) released.push(on.release());
        },
        onClose: () => heard.push('closed'),
      });
      await Promise.all(released);
      return {frames, heard};
    };

    beforeAll(async () => {
      folder = await mkdtemp(join(tmpdir(), 'darkset-contract-'));
      bench = await make();
    });
    afterAll(async () => {
      await bench.camera.close();
      await bench.clear();
      await rm(folder, {recursive: true, force: true});
    });

    it('says who it is in plain text', () => {
      const {identity} = bench.camera;
      expect(cameraIdentitySchema.parse(identity)).toEqual(identity);
      for (const text of Object.values(identity)) expect(plainText(text)).toBe(text);
      expect(identity.model).not.toBe('');
    });

    it('tells its status in the form of the contract', async () => {
      const status = await bench.camera.status();
      expect(cameraStatusSchema.parse(status)).toEqual(status);
      for (const note of status.notes) expect(plainText(note)).toBe(note);
    });

    it('sets what it can and reads it back, or says that it can’t', async () => {
      const {can} = await bench.camera.status();
      if (!can.setExposure) return expectFault(bench.camera.set({iso: 200}), 'unable');
      const status = await bench.camera.set({shutterSeconds: 4, fNumber: 11, iso: 200});
      expect(status.exposure).toEqual({shutterSeconds: 4, fNumber: 11, iso: 200});
      expect((await bench.camera.status()).exposure).toEqual(status.exposure);
      expect((await bench.camera.set({iso: 100})).exposure).toEqual({shutterSeconds: 4, fNumber: 11, iso: 100});
      await expectFault(bench.camera.set({fNumber: 0.6}), 'refused');
      expect((await bench.camera.status()).exposure?.fNumber).toBe(11);
    });

    it('drives and locks the focus, or says that it can’t', async () => {
      const {can} = await bench.camera.status();
      if (!can.focusDrive) return expectFault(bench.camera.focus('drive'), 'unable');
      await bench.camera.focus('drive');
      expect((await bench.camera.focus('lock')).focusLocked).toBe(true);
    });

    it('opens once, closes once, and then hands over frames that can be pulled whole', async () => {
      const {frames, heard} = await exposeOn(bench);
      expect(heard).toEqual(['open', 'closed']);
      expect(frames.length).toBeGreaterThan(0);
      for (const [i, frame] of frames.entries()) {
        expect(frameOnCameraSchema.parse(frame)).toEqual(frame);
        const path = join(folder, `whole-${i}`);
        const seen: [number, number][] = [];
        await bench.camera.pull(frame, path, (bytes, total) => seen.push([bytes, total]), never);
        const bytes = await readFile(path);
        if (frame.bytes !== null) expect(bytes.length).toBe(frame.bytes);
        if (frame.kind === 'jpeg') {
          expect(bytes.subarray(0, 2).toString('hex')).toBe('ffd8');
          expect(bytes.subarray(-2).toString('hex')).toBe('ffd9');
        }
        expect(seen.at(-1)).toEqual([bytes.length, bytes.length]);
        for (let at = 1; at < seen.length; at += 1) expect(seen[at]![0]).toBeGreaterThanOrEqual(seen[at - 1]![0]);
      }
    });

    it('gives the same bytes however often a frame is pulled', async () => {
      const {frames} = await exposeOn(bench);
      const pullTo = async (name: string): Promise<Buffer> => {
        await bench.camera.pull(frames[0]!, join(folder, name), ignore, never);
        return readFile(join(folder, name));
      };
      expect((await pullTo('twice-a')).equals(await pullTo('twice-b'))).toBe(true);
    });

    it('opens nothing when it was stopped before it began', async () => {
      const {frames, heard} = await exposeOn({...bench, release: undefined}, AbortSignal.abort());
      expect(heard).toEqual([]);
      expect(frames).toEqual([]);
    });

    it('ends an exposure early when it is stopped, and gives what there is', async () => {
      const stopping = new AbortController();
      const heard: string[] = [];
      const frames = await bench.camera.expose({
        seconds: bench.longSeconds,
        signal: stopping.signal,
        onOpen: () => {
          heard.push('open');
          setTimeout(() => stopping.abort(), 60);
        },
        onClose: () => heard.push('closed'),
      });
      expect(heard).toEqual(['open', 'closed']);
      for (const frame of frames) expect(frameOnCameraSchema.parse(frame)).toEqual(frame);
    });

    it('answers while it exposes, and refuses a second exposure as busy', async () => {
      const stopping = new AbortController();
      let opened = ignore;
      const open = new Promise<void>(resolve => {
        opened = resolve;
      });
      const running = bench.camera.expose({
        seconds: bench.longSeconds,
        signal: stopping.signal,
        onOpen: opened,
        onClose: ignore,
      });
      await open;
      try {
        expect(cameraStatusSchema.safeParse(await bench.camera.status()).success).toBe(true);
        await expectFault(exposeOn({...bench, release: undefined}), 'busy');
      } finally {
        stopping.abort();
        await running;
      }
    });

    it('never writes over a file that is there', async () => {
      const {frames} = await exposeOn(bench);
      const path = join(folder, 'taken');
      await writeFile(path, 'mine');
      await faultOf(bench.camera.pull(frames[0]!, path, ignore, never));
      expect(await readFile(path, 'utf8')).toBe('mine');
    });

    it('leaves nothing behind when a pull is stopped', async () => {
      const {frames} = await exposeOn(bench);
      const before = join(folder, 'stopped-before');
      await expectFault(bench.camera.pull(frames[0]!, before, ignore, AbortSignal.abort()), 'stopped');
      expect(await isThere(before)).toBe(false);
      const during = join(folder, 'stopped-during');
      const stopping = new AbortController();
      await expectFault(
        bench.camera.pull(frames[0]!, during, () => stopping.abort(), stopping.signal),
        'stopped',
      );
      expect(await isThere(during)).toBe(false);
    });

    it('says that a frame is lost which it never made', async () => {
      const {frames} = await exposeOn(bench);
      const strangers: FrameOnCamera[] = [
        {...frames[0]!, name: 'NEVER999.JPG'},
        {...frames[0]!, name: '../../../etc/hostname'},
        {...frames[0]!, folder: '/etc', name: 'hostname'},
      ];
      for (const [i, frame] of strangers.entries()) {
        const path = join(folder, `stranger-${i}`);
        await expectFault(bench.camera.pull(frame, path, ignore, never), 'lost');
        expect(await isThere(path)).toBe(false);
      }
    });

    it('rejects when the place to pull to is not there', async () => {
      const {frames} = await exposeOn(bench);
      await faultOf(bench.camera.pull(frames[0]!, join(folder, 'no', 'such', 'folder'), ignore, never));
    });

    it('counts as strays only frames that no exposure handed over', async () => {
      const since = Date.now() - 1000;
      const {frames} = await exposeOn(bench);
      const names = async (): Promise<string[]> => (await bench.camera.strays(since)).map(frame => frame.name);
      expect(await names()).not.toContain(frames[0]!.name);
      if (!bench.makeStray) return;
      const before = await names();
      await bench.makeStray();
      await expect.poll(async () => (await names()).length, {timeout: 15_000}).toBe(before.length + 1);
      const stray = (await bench.camera.strays(since)).find(frame => !before.includes(frame.name))!;
      await bench.camera.pull(stray, join(folder, 'stray'), ignore, never);
      expect(await isThere(join(folder, 'stray'))).toBe(true);
      expect(await bench.camera.strays(Date.now() + 3_600_000)).toEqual([]);
    });

    it('tells of changes until it is told to stop', async () => {
      const told: CameraStatus[] = [];
      const stop = bench.camera.watch(status => told.push(status));
      const stirs = bench.turnDial ?? (() => exposeOn(bench).then(ignore));
      await stirs();
      await expect.poll(() => told.length, {timeout: 10_000}).toBeGreaterThan(0);
      for (const status of told) expect(cameraStatusSchema.parse(status)).toEqual(status);
      stop();
      const count = told.length;
      await stirs();
      expect(told.length).toBe(count);
    });

    it('is gone while it is away, and serves again when it is back', async () => {
      if (!bench.takeAway || !bench.bringBack) return;
      await bench.takeAway();
      await expect
        .poll(
          () =>
            bench.camera.status().then(
              () => 'there',
              (fault: CameraFault) => fault.reason,
            ),
          {timeout: 15_000},
        )
        .toBe('gone');
      await expectFault(exposeOn({...bench, release: undefined}), 'gone');
      await bench.bringBack();
      await expect.poll(() => bench.camera.status().then(() => 'there', ignore), {timeout: 15_000}).toBe('there');
      expect((await exposeOn(bench)).frames.length).toBeGreaterThan(0);
    });

    it('ends an exposure as gone when it is let go of, and can be let go of twice', async () => {
      const other = await make();
      try {
        const running = other.camera.expose({
          seconds: other.longSeconds,
          signal: never,
          onOpen: () => setTimeout(() => void other.camera.close(), 30),
          onClose: ignore,
        });
        await expectFault(running, 'gone');
        await other.camera.close();
        await expectFault(other.camera.status(), 'gone');
        await expectFault(exposeOn({...other, release: undefined}), 'gone');
        await expectFault(other.camera.strays(0), 'gone');
      } finally {
        await other.clear();
      }
    });
  });
};
