import {mkdtempSync, rmSync} from 'node:fs';
import {tmpdir} from 'node:os';
import path from 'node:path';
import sharp from 'sharp';
import {measureFrame} from '../../src/frame/measure.js';
import {openMeasurer} from '../../src/frame/open-measurer.js';
import {loadPlates} from '../../src/frame/plates.js';

/*
 * How long a 24 MP frame takes from file to reading, against decoding the same file at full size with the same library;
 * and how long the event loop is held up while it is measured in its thread.
 */

const demo = path.resolve(import.meta.dirname, '../../fixtures/demo');
const folder = mkdtempSync(path.join(tmpdir(), 'darkset-bench-'));
const frame = path.join(folder, 'frame.jpg');
await sharp(path.join(demo, 'attempts/3.jpg')).resize(6000, 4000).jpeg({quality: 92}).withMetadata().toFile(frame);

const median = async (times: number, work: () => Promise<unknown>): Promise<number> => {
  const took: number[] = [];
  for (let time = 0; time < times; time += 1) {
    const from = performance.now();
    await work();
    took.push(performance.now() - from);
  }
  return took.sort((a, b) => a - b)[Math.floor(times / 2)]!;
};

const plates = await loadPlates(path.join(demo, 'plates'));
const fullDecode = await median(5, () => sharp(frame).raw().toBuffer());
const measured = await median(5, () => measureFrame(frame, plates, plates.zones));
const picture = openMeasurer();
await picture.usePlates(path.join(demo, 'plates'));
await picture.measure(frame, plates.zones);
const small = await median(5, () => picture.picture(frame, 120, 68));

let worstLag = 0;
let last = performance.now();
const ticking = setInterval(() => {
  const now = performance.now();
  worstLag = Math.max(worstLag, now - last - 5);
  last = now;
}, 5);
await picture.measure(frame, plates.zones);
clearInterval(ticking);
await picture.close();
rmSync(folder, {recursive: true});

const times = (value: number): string => `${(value / fullDecode).toFixed(2)} × a full decode`;
console.log(`full decode of 24 MP          ${fullDecode.toFixed(0)} ms, the measure of the others`);
console.log(`file to reading, with plates  ${measured.toFixed(0)} ms, ${times(measured)}`);
console.log(`picture for 60 × 34 cells     ${small.toFixed(0)} ms, ${times(small)}`);
console.log(`event loop while measuring    held up ${worstLag.toFixed(1)} ms at the most`);
