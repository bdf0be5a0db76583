import {access, readFile} from 'node:fs/promises';
import {join} from 'node:path';
import {describe, expect, it} from 'vitest';
import {openGphoto2} from '../../../adapters/gphoto2/open.js';
import {OPERATION, RESPONSE} from '../../loopback-camera/codes.js';
import type {Fault} from '../../loopback-camera/faults.js';
import {startLoopbackCamera} from '../../loopback-camera/server.js';
import {createStillCamera, stillBytes} from '../../loopback-camera/still-camera.js';
import {causeOf, faultOf, needsLibrary, noSignal, ownEnvironment, plainly, runs, until, withBench} from './bench.js';

const large = {files: [{ending: '.JPG', kind: 'jpeg' as const, bytes: 3_000_000}]};

const isThere = (path: string): Promise<boolean> =>
  access(path).then(
    () => true,
    () => false,
  );

describe('a transfer that breaks', () => {
  const rows: [string, Fault, 'gone' | 'asleep'][] = [
    ['the other side hangs up', {kind: 'end', afterBytes: 100_000}, 'gone'],
    ['the connection is reset', {kind: 'reset', afterBytes: 100_000}, 'gone'],
    ['the camera falls silent', {kind: 'stall', afterBytes: 100_000}, 'asleep'],
    ['the closing response is missing', {kind: 'no response'}, 'asleep'],
  ];
  it.for(rows)('is told as what it was, and the next pull works: %s', async ([, fault, cause], context) => {
    needsLibrary(context);
    await withBench({still: large}, async ({camera, loopback, folder}) => {
      const [frame] = await camera.expose(plainly(1));
      const path = join(folder, 'frame.jpg');
      loopback.inject(OPERATION.getPartialObject, fault);
      expect(await causeOf(camera.pull(frame!, path, () => undefined, noSignal()))).toBe(cause);
      expect(await isThere(path)).toBe(false);
      expect(await isThere(`${path}.part`)).toBe(false);
      await camera.pull(frame!, path, () => undefined, noSignal());
      expect((await readFile(path)).equals(stillBytes(frame!.name, 3_000_000))).toBe(true);
    });
  });

  it('can be stopped in the middle, and leaves nothing behind', async context => {
    needsLibrary(context);
    await withBench({still: {files: [{ending: '.RAW', kind: 'raw', bytes: 30_000_000}]}}, async ({camera, folder}) => {
      const [frame] = await camera.expose(plainly(1));
      const stop = new AbortController();
      const path = join(folder, 'frame.raw');
      const pulled = camera.pull(frame!, path, () => stop.abort(), stop.signal);
      expect(await causeOf(pulled)).toBe('stopped');
      expect(await isThere(path)).toBe(false);
      expect(await isThere(`${path}.part`)).toBe(false);
      expect((await camera.status()).batteryPercent).toBe(80);
    });
  });
});

describe('a camera that can’t be reached', () => {
  it('is gone where nobody listens', async context => {
    needsLibrary(context);
    const own = ownEnvironment();
    const loopback = await startLoopbackCamera(createStillCamera().camera);
    await loopback.stop();
    const opened = openGphoto2({port: `ip:127.0.0.1:${loopback.port}`, environment: own.environment});
    expect(await causeOf(opened)).toBe('gone');
    own.remove();
  });

  it.for([
    ['says nothing when greeted', 'command handshake' as const],
    ['says nothing on its second connection', 'event handshake' as const],
    ['does not open a session', OPERATION.openSession],
  ] as const)('is asleep when it %s', async ([, moment], context) => {
    needsLibrary(context);
    const own = ownEnvironment();
    const loopback = await startLoopbackCamera(createStillCamera().camera);
    loopback.inject(moment, {kind: 'stall', afterBytes: 0}, 9);
    const opened = openGphoto2({port: `ip:127.0.0.1:${loopback.port}`, environment: own.environment});
    expect(await causeOf(opened)).toBe('asleep');
    await loopback.stop();
    own.remove();
  });
});

describe('a camera that is lost', () => {
  it('is found again by itself after it was unplugged, with the frames made meanwhile', async context => {
    needsLibrary(context);
    await withBench({open: {lookEveryMs: 300}}, async ({camera, loopback}) => {
      await camera.status();
      const heard: string[] = [];
      camera.watch(
        () => heard.push('back'),
        fault => heard.push(fault.reason),
      );
      const before = Date.now();
      await loopback.unplug();
      await until(() => heard.includes('gone'));
      expect(await causeOf(camera.status())).toBe('gone');
      await loopback.pressRelease();
      await loopback.idle();
      await loopback.plugIn();
      await until(() => heard.at(-1) === 'back', 30_000);
      expect((await camera.strays(before)).map(frame => frame.name)).toEqual(['LOOP0001.JPG']);
    });
  });

  it.for([
    ['list its files', OPERATION.getObjectHandles],
    ['describe one', OPERATION.getObjectInfo],
  ] as const)('is no empty card while it is too busy to %s', async ([, operation], context) => {
    needsLibrary(context);
    await withBench({}, async ({camera, loopback}) => {
      const before = Date.now();
      await camera.close();
      await loopback.pressRelease();
      await loopback.idle();
      const own = ownEnvironment();
      const again = await openGphoto2({port: `ip:127.0.0.1:${loopback.port}`, environment: own.environment});
      loopback.inject(operation, {kind: 'refuse', code: RESPONSE.busy}, 99);
      expect(await causeOf(again.strays(before))).toBe('busy');
      await again.close();
      own.remove();
    });
  });

  it('is asleep while it is frozen, and answers again when it thaws', async context => {
    needsLibrary(context);
    await withBench({}, async ({camera, loopback}) => {
      loopback.freeze();
      expect(await causeOf(camera.status())).toBe('asleep');
      loopback.thaw();
      expect((await camera.status()).exposure?.fNumber).toBe(8);
    });
  });

  it('during an exposure leaves its frame to be fetched', async context => {
    needsLibrary(context);
    await withBench({still: {pace: 0.3}}, async ({camera, loopback}) => {
      const before = Date.now();
      const exposed = camera.expose({...plainly(8), onOpen: () => setTimeout(() => void loopback.unplug(), 500)});
      expect(await causeOf(exposed)).toBe('gone');
      await loopback.idle();
      await loopback.plugIn();
      await until(async () => (await camera.strays(before).catch(() => [])).length === 1, 30_000);
    });
  });

  it('answers the release too late: the frame is fetched from its card', async context => {
    needsLibrary(context);
    await withBench({}, async ({camera, loopback}) => {
      const before = Date.now();
      loopback.inject(OPERATION.initiateCapture, {kind: 'late', ms: 4000});
      expect(await causeOf(camera.expose(plainly(8)))).toBe('asleep');
      await loopback.idle();
      await until(async () => (await camera.strays(before).catch(() => [])).length === 1, 30_000);
    });
  });

  it('never names its frame: it is found on the card', async context => {
    needsLibrary(context);
    const options = {loopback: {silentAfterExposure: true}, open: {writingMs: 500}};
    await withBench(options, async ({camera}) => {
      const before = Date.now();
      expect(await causeOf(camera.expose(plainly(0.5)))).toBe('lost');
      expect((await camera.strays(before)).map(frame => frame.name)).toEqual(['LOOP0001.JPG']);
    });
  });
});

describe('the process that holds the library', () => {
  it.for(['SIGKILL', 'SIGSEGV'] as const)('is started again after %s during an exposure', async (signal, context) => {
    needsLibrary(context);
    await withBench({still: {pace: 0.3}}, async ({camera, loopback}) => {
      const before = Date.now();
      const first = camera.libraryPid!;
      const exposed = camera.expose({...plainly(8), onOpen: () => setTimeout(() => process.kill(first, signal), 500)});
      expect(await causeOf(exposed)).toBe('gone');
      await loopback.idle();
      await until(async () => (await camera.strays(before).catch(() => [])).length === 1, 30_000);
      expect(camera.libraryPid).not.toBe(first);
      expect(runs(first)).toBe(false);
    });
  });

  it('is ended when it hangs, and started again', async context => {
    needsLibrary(context);
    await withBench({}, async ({camera}) => {
      const first = camera.libraryPid!;
      process.kill(first, 'SIGSTOP');
      expect(await causeOf(camera.status())).toBe('asleep');
      expect((await camera.status()).exposure?.fNumber).toBe(8);
      await until(() => !runs(first));
    });
  });

  it('is gone once the camera is closed', async context => {
    needsLibrary(context);
    let pid: number | undefined;
    await withBench({}, async ({camera}) => {
      pid = camera.libraryPid;
      expect(runs(pid)).toBe(true);
    });
    expect(runs(pid)).toBe(false);
  });

  it('is gone once a frozen camera is closed', async context => {
    needsLibrary(context);
    let pid: number | undefined;
    await withBench({}, async ({camera, loopback}) => {
      pid = camera.libraryPid;
      loopback.freeze();
    });
    expect(runs(pid)).toBe(false);
  });
});

describe('a camera that says no', () => {
  it('is busy', async context => {
    needsLibrary(context);
    await withBench({}, async ({camera, loopback}) => {
      loopback.inject(OPERATION.initiateCapture, {kind: 'refuse', code: RESPONSE.busy});
      expect(await causeOf(camera.expose(plainly(1)))).toBe('busy');
      expect(await camera.expose(plainly(1))).toHaveLength(1);
    });
  });

  it('has a full card, told at once or by an event', async context => {
    needsLibrary(context);
    await withBench({}, async ({camera, loopback, still}) => {
      loopback.inject(OPERATION.initiateCapture, {kind: 'refuse', code: RESPONSE.storeFull});
      expect(await causeOf(camera.expose(plainly(1)))).toBe('full');
      still.state.full = true;
      expect(await causeOf(camera.expose(plainly(1)))).toBe('full');
      still.state.full = false;
      expect(await camera.expose(plainly(1))).toHaveLength(1);
    });
  });

  it('refuses a value, or takes it only in words', async context => {
    needsLibrary(context);
    await withBench({}, async ({camera, loopback}) => {
      loopback.inject(OPERATION.setPropertyValue, {kind: 'refuse', code: RESPONSE.invalidValue});
      expect(await causeOf(camera.set({fNumber: 10}))).toBe('refused');
      loopback.inject(OPERATION.setPropertyValue, {kind: 'pretend'});
      const fault = await faultOf(camera.set({fNumber: 10}));
      expect(fault.reason).toBe('refused');
      expect(fault.message).toBe('The camera did not take f/10; it stays at f/8.');
      expect((await camera.set({fNumber: 10})).exposure?.fNumber).toBe(10);
    });
  });

  it('offers nothing near the value, and says what it has', async context => {
    needsLibrary(context);
    await withBench({}, async ({camera}) => {
      const fault = await faultOf(camera.set({fNumber: 45}));
      expect(fault.reason).toBe('refused');
      expect(fault.message).toContain('f/22');
    });
  });
});
