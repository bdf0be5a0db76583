import {describe, expect, it} from 'vitest';
import {steadyClock} from '../../../adapters/gphoto2/clock.js';
import type {Clock} from '../../../shared/clock.js';
import {OPERATION, PROPERTY} from '../../loopback-camera/codes.js';
import type {Dialect} from '../../loopback-camera/dialects.js';
import {causeOf, needsLibrary, noSignal, plainly, until, withBench} from './bench.js';

const bulbSettings: [Dialect, string][] = [
  ['plain', 'movie'],
  ['toggle', 'bulb'],
  ['release', 'eosremoterelease'],
];

describe('makers’ own ways', () => {
  it.for(bulbSettings)('%s: a time beyond the dial is held open through the setting %s', async ([dialect], context) => {
    needsLibrary(context);
    await withBench({still: {pace: 1}, loopback: {dialect}}, async ({camera, still}) => {
      const status = await camera.set({shutterSeconds: 40});
      expect(status.exposure?.shutterSeconds).toBe(40);
      const stop = new AbortController();
      let openedAt = 0;
      let openSeconds = 0;
      const frames = await camera.expose({
        seconds: 40,
        signal: stop.signal,
        onOpen: () => {
          openedAt = performance.now();
          setTimeout(() => stop.abort(), 1500);
        },
        onClose: () => {
          openSeconds = (performance.now() - openedAt) / 1000;
        },
      });
      expect(frames).toHaveLength(1);
      expect(openSeconds).toBeGreaterThan(1.4);
      // What the program counted is what the camera did, to within the way there and back.
      expect(Math.abs(still.opened[0]!.lastedSeconds - openSeconds)).toBeLessThan(1);
      expect((await camera.status()).notes.join(' ')).toMatch(/held open for \d\.\d s; 40 s was asked for/);
    });
  });

  it('a shutter held open is closed after the time that was asked for', async context => {
    needsLibrary(context);
    // This clock runs twenty times as fast: 40 s of it are two.
    const fast = 20;
    const clock: Clock = {
      now: () => performance.now() * fast,
      until: (ms, signal) => steadyClock.until(ms / fast, signal),
    };
    await withBench({still: {pace: 1}, loopback: {dialect: 'toggle'}, open: {clock}}, async ({camera, still}) => {
      expect(await camera.expose(plainly(40))).toHaveLength(1);
      // The one way and the other are not of one length: a tenth of a second of real time may be missing.
      expect(still.opened[0]!.lastedSeconds * fast).toBeGreaterThan(38);
      expect(still.opened[0]!.lastedSeconds).toBeLessThan(20);
    });
  });

  it('a shutter that was held open when the cable came out is closed once it is back', async context => {
    needsLibrary(context);
    const options = {still: {pace: 1}, loopback: {dialect: 'toggle' as const}, open: {lookEveryMs: 300}};
    await withBench(options, async ({camera, loopback, still}) => {
      const before = Date.now();
      const exposed = camera.expose({...plainly(600), onOpen: () => setTimeout(() => void loopback.unplug(), 300)});
      expect(await causeOf(exposed)).toBe('gone');
      await loopback.plugIn();
      await until(() => still.opened.length === 1, 30_000);
      await until(async () => (await camera.strays(before).catch(() => [])).length === 1, 30_000);
    });
  });

  it('the release may come back only when the exposure is over: it is open all the same', async context => {
    needsLibrary(context);
    await withBench({still: {pace: 0.25}, loopback: {dialect: 'toggle'}}, async ({camera, still}) => {
      const begun = performance.now();
      const moments: number[] = [];
      const frames = await camera.expose({
        seconds: 8,
        signal: noSignal(),
        onOpen: () => moments.push(performance.now() - begun),
        onClose: () => moments.push(performance.now() - begun),
      });
      expect(frames).toHaveLength(1);
      expect(still.opened.map(one => one.seconds)).toEqual([8]);
      expect(moments).toHaveLength(2);
      expect(moments[1]! - moments[0]!).toBeGreaterThan(1000);
    });
  });

  it('the focus can be driven and locked where the driver offers it', async context => {
    needsLibrary(context);
    await withBench({loopback: {dialect: 'toggle'}}, async ({camera, loopback}) => {
      const before = await camera.status();
      expect(before.can.focusDrive).toBe(true);
      expect(before.focusLocked).toBe(false);
      await camera.focus('drive');
      expect(loopback.asked).toContain(0x90c1);
      const locked = await camera.focus('lock');
      expect(locked).toMatchObject({focusMode: 'manual', focusLocked: true});
    });
  });

  it('the words of its menu say which files it makes', async context => {
    needsLibrary(context);
    const files = [
      {ending: '.JPG', kind: 'jpeg' as const, bytes: 1000},
      {ending: '.NEF', kind: 'raw' as const, bytes: 2000},
    ];
    await withBench({still: {files}, loopback: {dialect: 'toggle', completeFirst: true}}, async ({camera}) => {
      expect((await camera.status()).format).toBe('raw+jpeg');
      expect((await camera.expose(plainly(1))).map(frame => frame.kind)).toEqual(['jpeg', 'raw']);
    });
    const raw = [{ending: '.NEF', kind: 'raw' as const, bytes: 2000}];
    await withBench({still: {files: raw}, loopback: {dialect: 'toggle'}}, async ({camera}) => {
      const status = await camera.status();
      expect(status.format).toBe('raw');
      expect(status.notes.join(' ')).toMatch(/RAW files only/);
    });
  });

  it('new frames go to the card, not into the camera’s memory', async context => {
    needsLibrary(context);
    await withBench({loopback: {dialect: 'toggle'}}, async ({camera}) => {
      expect((await camera.status()).notes.join(' ')).not.toMatch(/not on the card/);
    });
  });
});

describe('a camera that can do less', () => {
  it('without an aperture says so, and still takes the rest', async context => {
    needsLibrary(context);
    await withBench({loopback: {without: [PROPERTY.fNumber]}}, async ({camera}) => {
      const status = await camera.status();
      expect(status.can.setExposure).toBe(false);
      expect(status.exposure).toBeNull();
      expect(status.notes.join(' ')).toMatch(/does not let the aperture be read or set/);
      expect(await causeOf(camera.set({fNumber: 8}))).toBe('unable');
      await camera.set({iso: 200});
      expect(await camera.expose(plainly(8))).toHaveLength(1);
    });
  });

  it('without any settings is a shutter that can be released', async context => {
    needsLibrary(context);
    await withBench({loopback: {without: Object.values(PROPERTY)}}, async ({camera, still}) => {
      const status = await camera.status();
      expect(status).toMatchObject({
        exposure: null,
        focusMode: 'unknown',
        format: 'unknown',
        batteryPercent: null,
        clockDifferenceSeconds: null,
        can: {setExposure: false, openShutter: true, focusDrive: false, probe: false},
      });
      expect(await causeOf(camera.focus('drive'))).toBe('unable');
      expect(await causeOf(camera.focus('lock'))).toBe('unable');
      expect(await camera.expose(plainly(8))).toHaveLength(1);
      expect(still.opened).toHaveLength(1);
    });
  });

  it('that can’t hold its shutter open refuses what is beyond its dial', async context => {
    needsLibrary(context);
    const {initiateOpenCapture, terminateOpenCapture} = OPERATION;
    const lacking = [initiateOpenCapture, terminateOpenCapture];
    await withBench({loopback: {lacking}}, async ({camera, still}) => {
      expect(await causeOf(camera.expose(plainly(60)))).toBe('unable');
      expect(still.opened).toEqual([]);
    });
  });

  it('that can’t read in blocks hands over whole files', async context => {
    needsLibrary(context);
    await withBench({loopback: {lacking: [OPERATION.getPartialObject]}}, async ({camera, loopback, folder}) => {
      const [frame] = await camera.expose(plainly(1));
      let last = 0;
      await camera.pull(
        frame!,
        `${folder}/whole.jpg`,
        bytes => {
          last = bytes;
        },
        noSignal(),
      );
      expect(last).toBe(100_000);
      expect(loopback.asked).toContain(OPERATION.getObject);
    });
  });

  it('whose clock is wrong says by how much, and its strays are found all the same', async context => {
    needsLibrary(context);
    await withBench({loopback: {clockSkewMs: -3_600_000}}, async ({camera, loopback}) => {
      const status = await camera.status();
      expect(Math.abs(status.clockDifferenceSeconds! + 3600)).toBeLessThanOrEqual(1);
      const before = Date.now();
      await loopback.unplug();
      await loopback.pressRelease();
      await loopback.idle();
      await loopback.plugIn();
      await expect.poll(() => camera.strays(before).catch(() => []), {timeout: 20_000, interval: 300}).toHaveLength(1);
    });
  });
});
