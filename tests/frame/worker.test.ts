import {mkdtempSync, rmSync, writeFileSync} from 'node:fs';
import {tmpdir} from 'node:os';
import path from 'node:path';
import {setTimeout as wait} from 'node:timers/promises';
import {isMainThread, threadId, Worker} from 'node:worker_threads';
import sharp from 'sharp';
import {afterAll, afterEach, beforeAll, describe, expect, test} from 'vitest';
import {type Measurement, measurementSchema} from '../../shared/reading.js';
import {FrameFault} from '../../src/frame/fault.js';
import type {Measurer} from '../../src/frame/measurer.js';
import {openMeasurer} from '../../src/frame/open-measurer.js';

/* The thread that measures: whatever becomes of it, whoever asked gets an answer, and the next measurement works. */

const folder = mkdtempSync(path.join(tmpdir(), 'darkset-worker-'));
afterAll(() => rmSync(folder, {recursive: true}));

const faultOf = async (work: Promise<unknown>): Promise<string> => {
  const fault: unknown = await work.then(
    () => null,
    error => error,
  );
  expect(fault).toBeInstanceOf(FrameFault);
  expect((fault as FrameFault).reason).toBe('stuck');
  return (fault as FrameFault).message;
};

let measurer: Measurer | null = null;
afterEach(async () => {
  await measurer?.close();
  measurer = null;
});

describe('a thread that misbehaves', () => {
  /** A stand-in that does what the name of the file says, and tells who measured and with which plates. */
  const code = `
    const {parentPort, threadId} = require('node:worker_threads');
    let plates = null;
    parentPort.on('message', ({id, job, file, folder}) => {
      const name = file ?? folder ?? '';
      if (name.includes('exits')) process.exit(7);
      if (name.includes('throws')) throw new Error('a defect');
      if (name.includes('hangs')) for (;;);
      if (name.includes('silent')) return;
      if (name.includes('faulty')) return parentPort.postMessage({id, ok: false, reason: 'broken', message: name + ' is broken.'});
      if (job === 'usePlates') plates = folder;
      const answer = job === 'usePlates' ? null : {file, plates, threadId};
      if (name.includes('slow')) Atomics.wait(new Int32Array(new SharedArrayBuffer(4)), 0, 0, 60);
      parentPort.postMessage({id, ok: true, answer});
    });`;
  type Told = {file: string; plates: string | null; threadId: number};

  let threads: Worker[] = [];
  const open = (jobMs = 20_000): Measurer => {
    threads = [];
    measurer = openMeasurer({
      jobMs,
      start() {
        const thread = new Worker(code, {eval: true});
        threads.push(thread);
        return thread;
      },
    });
    return measurer;
  };
  const told = (opened: Measurer, file: string): Promise<Told> =>
    opened.measure(file, null) as unknown as Promise<Told>;

  test('none is started before there is work, and one does all of it', async () => {
    const opened = open();
    expect(threads).toHaveLength(0);
    const [first, second] = await Promise.all([told(opened, 'a.jpg'), told(opened, 'b.jpg')]);
    expect([first.file, second.file]).toEqual(['a.jpg', 'b.jpg']);
    expect(isMainThread && first.threadId === threadId).toBe(false);
    expect(second.threadId).toBe(first.threadId);
    expect(threads).toHaveLength(1);
  });

  test.each(['exits', 'throws'])(
    'one that %s gives one fault, and the next measurement works with the same plates',
    async how => {
      const opened = open();
      await opened.usePlates('/plates');
      expect(await faultOf(opened.measure(`/shoot/${how}.jpg`, null))).toBe(
        `Measuring ${how}.jpg stopped unexpectedly; try it again.`,
      );
      expect(await told(opened, 'next.jpg')).toMatchObject({file: 'next.jpg', plates: '/plates'});
      expect(threads).toHaveLength(2);
    },
  );

  test('one that is killed in the middle does too', async () => {
    const opened = open();
    const lost = opened.measure('silent.jpg', null);
    const killed = faultOf(lost);
    await wait(50);
    await threads[0]!.terminate();
    expect(await killed).toBe('Measuring silent.jpg stopped unexpectedly; try it again.');
    expect(await told(opened, 'next.jpg')).toMatchObject({file: 'next.jpg', plates: null});
  });

  test('what waited behind the one that failed is measured by the next thread, in its order and with its plates', async () => {
    const opened = open();
    await opened.usePlates('/plates');
    const [lost, ...others] = [
      faultOf(opened.measure('exits.jpg', null)),
      told(opened, 'slow-a.jpg'),
      opened.usePlates('/others').then(() => 'others are in use'),
      told(opened, 'b.jpg'),
    ] as const;
    expect(await lost).toBe('Measuring exits.jpg stopped unexpectedly; try it again.');
    const [a, , b] = await Promise.all(others);
    expect(a).toMatchObject({file: 'slow-a.jpg', plates: '/plates'});
    expect(b).toMatchObject({file: 'b.jpg', plates: '/others'});
    expect(threads).toHaveLength(2);
  });

  test('one that hangs is given up after its limit', async () => {
    const opened = open(700);
    const behind = [faultOf(opened.measure('hangs.jpg', null)), told(opened, 'behind.jpg')] as const;
    expect(await behind[0]).toBe('Measuring hangs.jpg took too long and was given up; try it again.');
    expect(await behind[1]).toMatchObject({file: 'behind.jpg'});
    expect(await told(opened, 'next.jpg')).toMatchObject({file: 'next.jpg'});
    // The thread is ended, not left running.
    await expect.poll(() => threads[0]!.threadId).toBe(-1);
  });

  test('the limit is for each job, not for all that wait', async () => {
    const opened = open(500);
    await told(opened, 'warm.jpg');
    // Twelve of 60 ms each, one after the other: more in all than one may take.
    const began = performance.now();
    await Promise.all(Array.from({length: 12}, (_, n) => told(opened, `slow-${n}.jpg`)));
    expect(performance.now() - began).toBeGreaterThan(500);
    expect(threads).toHaveLength(1);
  });

  test('plates that end every thread give a fault to each who asks, and never a loop', async () => {
    const opened = open();
    expect(await faultOf(opened.usePlates('/exits'))).toMatch(/the plates stopped unexpectedly; try it again\.$/);
    expect(await told(opened, 'next.jpg')).toMatchObject({plates: null});
    // Plates that loaded once and end the thread when it loads them again.
    let started = 0;
    const again = openMeasurer({
      start() {
        started += 1;
        return new Worker(started === 1 ? code.replace("'exits'", "'bomb'") : code, {eval: true});
      },
    });
    await again.usePlates('/exits');
    expect(await faultOf(again.measure('bomb.jpg', null))).toBe(
      'Measuring bomb.jpg stopped unexpectedly; try it again.',
    );
    const two = [faultOf(again.measure('a.jpg', null)), faultOf(again.measure('b.jpg', null))];
    for (const message of await Promise.all(two)) expect(message).toMatch(/the plates stopped unexpectedly/);
    expect(started).toBe(2);
    await again.close();
  });

  test('a fault in a frame is handed on as it is, and costs no thread', async () => {
    const opened = open();
    await expect(opened.measure('faulty.jpg', null)).rejects.toMatchObject({
      name: 'FrameFault',
      reason: 'broken',
      message: 'faulty.jpg is broken.',
    });
    expect(await told(opened, 'next.jpg')).toMatchObject({file: 'next.jpg'});
    expect(threads).toHaveLength(1);
  });

  test('one that can’t be started is a fault', async () => {
    measurer = openMeasurer({
      start() {
        throw new Error('no threads left');
      },
    });
    expect(await faultOf(measurer.measure('a.jpg', null))).toBe(
      'The thread that measures could not be started; try it again.',
    );
  });

  test('closing answers whoever waits, and later askers', async () => {
    const opened = open();
    const waiting = [faultOf(opened.measure('silent.jpg', null)), faultOf(opened.measure('b.jpg', null))];
    await opened.close();
    expect(await Promise.all(waiting)).toEqual(['Measuring silent.jpg was stopped.', 'Measuring b.jpg was stopped.']);
    expect(await faultOf(opened.measure('c.jpg', null))).toBe('Measuring was closed already.');
    expect(threads).toHaveLength(1);
    await opened.close();
  });

  test('hostile names are named fit to be shown', async () => {
    const opened = open();
    expect(await faultOf(opened.measure('/x/\u001b[2Jexits\u202e.jpg', null))).toBe(
      'Measuring [2Jexits .jpg stopped unexpectedly; try it again.',
    );
  });
});

describe('the thread that measures', () => {
  const large = path.join(folder, 'large.jpg');
  const plates = path.join(folder, 'plates-');
  let platesFolder = '';
  const lit = (width: number, height: number, left: number): Promise<Buffer> => {
    const rgb = Buffer.alloc(300 * 200 * 3, 3);
    for (let y = 0; y < 200; y++) {
      for (let x = 0; x < 300; x++) {
        const near = Math.exp(-(((x - 150 + left) / 30) ** 2 + ((y - 80) / 45) ** 2));
        const detail = 0.8 + 0.2 * Math.sin(x * 1.3) * Math.sin(y * 1.1);
        for (let c = 0; c < 3; c++) rgb[(y * 300 + x) * 3 + c] = 3 + near * detail * (200 - 50 * c);
      }
    }
    return sharp(rgb, {raw: {width: 300, height: 200, channels: 3}})
      .resize(width, height, {kernel: 'nearest'})
      .jpeg({quality: 90})
      .toBuffer();
  };
  const zones = {face: {cx: 0.5, cy: 0.4, rx: 0.1, ry: 0.22}};

  test('what frames say of the tone curve holds for later ones, until plates are loaded again', {
    timeout: 60_000,
  }, async () => {
    const demo = path.resolve(import.meta.dirname, '../../fixtures/demo');
    measurer = openMeasurer();
    const opened = measurer;
    const attempt = (name: string): Promise<Measurement> =>
      opened.measure(path.join(demo, 'attempts', `${name}.jpg`), null);
    const roomLight = async () => {
      const {lights, ambient} = await attempt('5-room-light');
      return {lights, ambient};
    };
    await opened.usePlates(path.join(demo, 'plates'));
    const alone = await roomLight();
    for (const name of ['1', '2', '3', '4-b-missing']) await attempt(name);
    expect(await roomLight()).not.toEqual(alone);
    await opened.usePlates(path.join(demo, 'plates'));
    expect(await roomLight()).toEqual(alone);
  });

  beforeAll(async () => {
    platesFolder = mkdtempSync(plates);
    writeFileSync(
      path.join(platesFolder, 'dark.jpg'),
      await sharp({create: {width: 300, height: 200, channels: 3, background: '#030303'}})
        .jpeg()
        .toBuffer(),
    );
    writeFileSync(path.join(platesFolder, 'light-A.jpg'), await lit(300, 200, 20));
    writeFileSync(path.join(platesFolder, 'light-B.jpg'), await lit(300, 200, -20));
    writeFileSync(large, await lit(6000, 4000, 20));
  });

  /** The longest time that this thread's event loop did not turn while something was done, milliseconds. */
  const longestStall = async (work: () => Promise<unknown>): Promise<number> => {
    let last = performance.now();
    let longest = 0;
    const look = (): void => {
      const now = performance.now();
      longest = Math.max(longest, now - last);
      last = now;
    };
    const timer = setInterval(look, 2);
    await work();
    look();
    clearInterval(timer);
    return longest;
  };

  test('measures while this one goes on; killed in the middle, the next measurement works', async () => {
    // The meter sees a stall.
    const held = await longestStall(async () => {
      await wait(10);
      const until = performance.now() + 250;
      while (performance.now() < until);
    });
    expect(held).toBeGreaterThan(249);

    const loader = import.meta.resolve('tsx/esm/api');
    const source = new URL('../../src/frame/worker.ts', import.meta.url).href;
    const threads: Worker[] = [];
    measurer = openMeasurer({
      start() {
        const boot = `import('${loader}').then(({register}) => { register(); return import('${source}'); });`;
        threads.push(new Worker(boot, {eval: true}));
        return threads.at(-1)!;
      },
    });
    const opened = measurer;
    await opened.usePlates(platesFolder);

    let reading: Measurement | null = null;
    // Others may hold this machine's cores: once in three is enough to show that it isn't us.
    let stall = Number.POSITIVE_INFINITY;
    for (let turn = 0; turn < 3 && stall >= 200; turn++) {
      stall = await longestStall(async () => {
        reading = await opened.measure(large, zones);
      });
    }
    expect(stall).toBeLessThan(200);
    expect(measurementSchema.parse(reading).frame).toMatchObject({file: 'large.jpg', width: 6000, height: 4000});

    // With its plates: A alone lit this frame.
    const firedIn = ({lights}: Measurement) => lights.map(({id, fired}) => [id, fired]);
    expect(firedIn(reading!)).toEqual([
      ['A', true],
      ['B', false],
    ]);
    expect(threads).toHaveLength(1);

    const killed = faultOf(opened.measure(large, zones));
    await wait(20);
    await threads[0]!.terminate();
    expect(await killed).toBe('Measuring large.jpg stopped unexpectedly; try it again.');
    const small = path.join(platesFolder, 'light-B.jpg');
    expect(firedIn(await opened.measure(small, zones))).toEqual([
      ['A', false],
      ['B', true],
    ]);
    expect(threads).toHaveLength(2);

    // What else it is asked for.
    const {face} = await opened.guessZones(small);
    expect(Math.abs(face.cx - 170 / 300)).toBeLessThan(0.1);
    const shown = await opened.picture(small, 30, 30);
    expect([shown.width, shown.height, shown.rgb.length]).toEqual([30, 20, 1800]);
    await expect(opened.measure(path.join(folder, 'none.jpg'), null)).rejects.toMatchObject({
      name: 'FrameFault',
      reason: 'missing',
      message: 'none.jpg is not there.',
    });
    await expect(opened.usePlates(path.join(folder, 'nowhere'))).rejects.toMatchObject({reason: 'missing'});
  });
});
