import {mkdtempSync, rmSync} from 'node:fs';
import {loadavg, tmpdir} from 'node:os';
import path from 'node:path';
import sharp from 'sharp';
import {openSound} from '../../adapters/sound/open-sound.js';
import type {Camera} from '../../shared/camera.js';
import {type CueSheet, usualCueSheet} from '../../shared/cues.js';
import type {Sound} from '../../shared/sound.js';
import {openMeasurer} from '../../src/frame/open-measurer.js';
import {loadPlates} from '../../src/frame/plates.js';
import {systemAsleepMs, systemClock} from '../../src/shoot/cue-clock.js';
import {countDown, type Exposing, openShutter} from '../../src/shoot/exposing.js';

/*
 * How far the order to open the shutter lies from its moment in the sound's stream, with nothing else to do and while a
 * 24 MP frame is being measured. At most 20 ms.
 */

const COUNTDOWNS = 12;
const sheet: CueSheet = {...usualCueSheet(1), countdownSeconds: 2, cues: []};

const demo = path.resolve(import.meta.dirname, '../../fixtures/demo');
const folder = mkdtempSync(path.join(tmpdir(), 'darkset-bench-'));
const frame = path.join(folder, 'frame.jpg');
await sharp(path.join(demo, 'attempts/3.jpg')).resize(6000, 4000).jpeg({quality: 92}).withMetadata().toFile(frame);
const plates = await loadPlates(path.join(demo, 'plates'));
const measurer = openMeasurer();
await measurer.usePlates(path.join(demo, 'plates'));

let startedAtMs = 0;
let orderedAtMs = 0;
const own = await openSound({speech: false});
const sound: Sound = {
  ...own,
  prepare: async cues => {
    const prepared = await own.prepare(cues);
    return {
      start: () => {
        const handle = prepared.start();
        startedAtMs = handle.startedAtMs;
        return handle;
      },
    };
  },
};
const camera = {
  expose: async ({onOpen, onClose}) => {
    orderedAtMs = performance.now();
    onOpen();
    onClose();
    return [];
  },
} as Pick<Camera, 'expose'> as Camera;
const kit: Exposing = {
  camera,
  sound,
  time: {clock: systemClock(), speed: 1, asleepMs: systemAsleepMs},
  room: null,
  shootFolder: folder,
  byHand: false,
  show: () => undefined,
};
const subject = {kind: 'attempt', attempt: 1} as const;
const never = new AbortController().signal;

/** Milliseconds between the stream's moment of opening and the order. */
const errors = async (): Promise<number[]> => {
  const found: number[] = [];
  for (let made = 0; made < COUNTDOWNS; made++) {
    const running = await countDown(kit, subject, sheet, null, never);
    await openShutter(kit, subject, 0, running, never, {opened: () => undefined, closed: () => undefined});
    running.end();
    found.push(orderedAtMs - startedAtMs - sheet.countdownSeconds * 1000);
  }
  return found;
};
const said = (what: string, found: number[]): void => {
  const sizes = found.map(Math.abs).sort((a, b) => a - b);
  console.log(
    `${what.padEnd(34)}median ${sizes[Math.floor(sizes.length / 2)]!.toFixed(1)} ms, at the most ${sizes.at(-1)!.toFixed(1)} ms (of 20)`,
  );
};

console.log(`${'load of the machine'.padEnd(34)}${loadavg()[0]!.toFixed(1)}`);
said('order to open, nothing else', await errors());
let measuring = true;
let measured = 0;
const measureOn = async (): Promise<void> => {
  while (measuring) {
    await measurer.measure(frame, plates.zones);
    measured++;
  }
};
const meanwhile = measureOn();
said('order to open, 24 MP measured', await errors());
measuring = false;
await meanwhile;
console.log(`${'frames measured meanwhile'.padEnd(34)}${measured}`);
await Promise.all([measurer.close(), own.close()]);
rmSync(folder, {recursive: true});
process.exit(0);
