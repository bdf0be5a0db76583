import {readFile} from 'node:fs/promises';
import {join} from 'node:path';
import {describe, expect, it} from 'vitest';
import {OPERATION} from '../../loopback-camera/codes.js';
import {stillBytes} from '../../loopback-camera/still-camera.js';
import {needsLibrary, noSignal, plainly, until, withBench} from './bench.js';

const rawAndJpeg = [
  {ending: '.JPG', kind: 'jpeg' as const, bytes: 300_000},
  {ending: '.RAW', kind: 'raw' as const, bytes: 2_500_000},
];

describe('an exposure through the real library', () => {
  it('says who the camera is and what it is set to', async context => {
    needsLibrary(context);
    await withBench({}, async ({camera, loopback}) => {
      expect(camera.identity).toEqual({
        kind: 'gphoto2',
        maker: 'darkset',
        model: 'loopback camera',
        serial: '0001',
        port: `ip:127.0.0.1:${loopback.port}`,
      });
      const status = await camera.status();
      expect(status).toMatchObject({
        exposure: {shutterSeconds: 8, fNumber: 8, iso: 100},
        focusMode: 'auto',
        focusLocked: false,
        batteryPercent: 80,
        freeFrames: 800,
        can: {setExposure: true, openShutter: true, probe: true},
      });
      expect(Math.abs(status.clockDifferenceSeconds!)).toBeLessThanOrEqual(1);
      expect(status.freeBytes).toBeCloseTo(20e9, -4);
    });
  });

  it('opens for the time of the shutter dial and hands over every file of it', async context => {
    needsLibrary(context);
    await withBench({still: {files: rawAndJpeg}}, async ({camera, still, folder}) => {
      const moments: string[] = [];
      const frames = await camera.expose({
        seconds: 8,
        signal: noSignal(),
        onOpen: () => moments.push('open'),
        onClose: () => moments.push('close'),
      });
      expect(moments).toEqual(['open', 'close']);
      expect(still.opened.map(one => one.seconds)).toEqual([8]);
      expect(frames.map(({name, kind, bytes}) => ({name, kind, bytes}))).toEqual([
        {name: 'LOOP0001.JPG', kind: 'jpeg', bytes: 300_000},
        {name: 'LOOP0001.RAW', kind: 'raw', bytes: 2_500_000},
      ]);
      const seen: number[] = [];
      for (const frame of frames) {
        const path = join(folder, frame.name);
        await camera.pull(frame, path, (bytes, total) => seen.push(bytes / total), noSignal());
        expect((await readFile(path)).equals(stillBytes(frame.name, frame.bytes!))).toBe(true);
      }
      expect(seen.at(-1)).toBe(1);
      // More than once a file: there is something to see while it comes.
      expect(seen.length).toBeGreaterThan(frames.length);
      expect((await camera.status()).format).toBe('raw+jpeg');
      expect(await camera.strays(Date.now() - 60_000)).toEqual([]);
    });
  });

  it('asks nothing between the word to open and the release when it was armed', async context => {
    needsLibrary(context);
    await withBench({open: {lookEveryMs: 60_000}}, async ({camera, loopback, still}) => {
      const askedUntilRelease = async (): Promise<number[]> => {
        const from = loopback.asked.length;
        await camera.expose(plainly(8));
        const asked = loopback.asked.slice(from);
        return asked.slice(0, asked.indexOf(OPERATION.initiateCapture));
      };
      // The driver answers from memory for 2 s.
      const forgets = (): Promise<void> => new Promise(resolve => setTimeout(resolve, 2300));
      await forgets();
      expect(await askedUntilRelease()).toEqual([OPERATION.getPropertyDescription]);
      await forgets();
      await camera.arm!(8);
      expect(await askedUntilRelease()).toEqual([]);
      // What was prepared is for that time alone.
      await camera.arm!(8);
      await camera.expose(plainly(1));
      expect(still.opened.map(one => one.seconds)).toEqual([8, 8, 1]);
    });
  });

  it('turns the shutter dial where the exposure asked for is another', async context => {
    needsLibrary(context);
    await withBench({}, async ({camera, still}) => {
      await camera.expose(plainly(1));
      expect(still.opened.map(one => one.seconds)).toEqual([1]);
    });
  });

  it('is held open by the standard’s open capture beyond the dial, and closed by hand', async context => {
    needsLibrary(context);
    await withBench({still: {pace: 1}}, async ({camera, still}) => {
      const status = await camera.set({shutterSeconds: 60});
      expect(status.exposure?.shutterSeconds).toBe(60);
      const stop = new AbortController();
      const frames = camera.expose({
        seconds: 60,
        signal: stop.signal,
        onOpen: () => setTimeout(() => stop.abort(), 700),
        onClose: () => undefined,
      });
      expect(await frames).toHaveLength(1);
      expect(still.opened[0]!.lastedSeconds).toBeGreaterThan(0.6);
      expect(still.opened[0]!.lastedSeconds).toBeLessThan(5);
    });
  });

  it('takes frames that were made by hand on the body for strays', async context => {
    needsLibrary(context);
    await withBench({}, async ({camera, loopback}) => {
      const before = Date.now();
      await loopback.pressRelease();
      await loopback.idle();
      await until(async () => (await camera.strays(before)).length === 1);
      const [stray] = await camera.strays(before);
      expect(stray).toMatchObject({name: 'LOOP0001.JPG', kind: 'jpeg', bytes: 100_000});
    });
  });

  it('notices when a dial of the body is turned', async context => {
    needsLibrary(context);
    await withBench({}, async ({camera, still, loopback}) => {
      await camera.status();
      const heard: (number | undefined)[] = [];
      camera.watch(status => heard.push(status.exposure?.iso));
      await still.camera.set({iso: 400});
      loopback.dialTurned(0x500f);
      await until(() => heard.includes(400));
    });
  });
});
