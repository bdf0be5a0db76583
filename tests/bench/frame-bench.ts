import {setTimeout as sleep} from 'node:timers/promises';
import sharp from 'sharp';
import {bundleFrame} from './bundled-frame.js';
import {demoPlates, enlargedAttempt, grainedAttempt, MP24, MP61} from './demo-frames.js';
import {inTurns, median, ratio, say, sayLoad, took} from './timing.js';

/*
 * How long a frame of 24 MP takes from file to reading, against sharp's decoding the same file to the same width; one of
 * 61 MP against one of 24; the shoot's small picture; and how long the event loop is held up while a frame is measured in
 * its thread. These frames are enlarged ones with a colour profile, which sharp goes through and ours passes over where it
 * does nothing; and with grain and without a profile, of two qualities.
 */

const ROUNDS = 7;
const EDGE = 1500;
/** What is measured in the end, after averaging. */
const WORK = 1000;
const MOST_HELD_UP_MS = 30;
const LAG_FRAMES = 7;
/** Frames until the code that measures is compiled as well as it will be: a shoot takes dozens. */
const WARM_FRAMES = 15;

// As in the measuring thread: nothing decoded is kept, so that every time counts.
sharp.cache(false);
const {folder, measureFrame, loadPlates, openMeasurer} = await bundleFrame();
const frame = await enlargedAttempt('3.jpg', folder, MP24);
const grained = await grainedAttempt('3.jpg', folder, MP24, 92);
const finest = await grainedAttempt('3.jpg', folder, MP24, 97);
const largest = await enlargedAttempt('3.jpg', folder, MP61);
const plates = await loadPlates(demoPlates);
const measurer = openMeasurer();
await measurer.usePlates(demoPlates);

const cold = await took(() => measureFrame(frame, plates, plates.zones));
for (let time = 0; time < WARM_FRAMES; time++) await measureFrame(frame, plates, plates.zones);
const ms = await inTurns(ROUNDS, {
  decode: () => sharp(frame).resize(EDGE, EDGE, {fit: 'inside'}).raw().toBuffer(),
  full: () => sharp(frame).raw().toBuffer(),
  reading: () => measureFrame(frame, plates, plates.zones),
  grainedDecode: () => sharp(grained).resize(EDGE, EDGE, {fit: 'inside'}).raw().toBuffer(),
  grained: () => measureFrame(grained, plates, plates.zones),
  finestDecode: () => sharp(finest).resize(EDGE, EDGE, {fit: 'inside'}).raw().toBuffer(),
  finest: () => measureFrame(finest, plates, plates.zones),
  smallDecode: () => sharp(grained).resize(WORK, WORK, {fit: 'inside'}).raw().toBuffer(),
  largest: () => measureFrame(largest, plates, plates.zones),
  picture: () => measurer.picture(frame, 120, 68),
});

/** Milliseconds by which a tick of 5 ms came late at the most, meanwhile. */
const heldUp = async (meanwhile: () => Promise<unknown>): Promise<number> => {
  let worst = 0;
  let last = performance.now();
  const ticking = setInterval(() => {
    const now = performance.now();
    worst = Math.max(worst, now - last - 5);
    last = now;
  }, 5);
  await meanwhile();
  clearInterval(ticking);
  return worst;
};

// What the program itself holds up it does with every frame; a machine that stands still does so once. It is also busy
// with others: a process that does nothing, for as long, tells how much of it is theirs.
const heldUps: number[] = [];
const idle: number[] = [];
for (let time = 0; time < LAG_FRAMES; time++) {
  heldUps.push(await heldUp(() => measurer.measure(frame, plates.zones)));
  idle.push(await heldUp(() => sleep(ms.reading)));
}
await measurer.close();

say('measured', 'src/frame as it stands, bundled like the shipped program');
sayLoad();
say('sharp decodes 24 MP to 1500 px', `${ms.decode.toFixed(0)} ms, the measure of the others`);
say('file to reading, 24 MP with plates', `${ms.reading.toFixed(0)} ms, ${ratio(ms.reading / ms.decode, 1.8)}`);
say(
  '  as a camera writes it',
  `${ms.grained.toFixed(0)} ms, ${ratio(ms.grained / ms.grainedDecode, 1.8)}; sharp ${ms.grainedDecode.toFixed(0)} ms, to ${WORK} px ${ms.smallDecode.toFixed(0)}`,
);
say(
  '  at its best quality',
  `${ms.finest.toFixed(0)} ms, ${ratio(ms.finest / ms.finestDecode, 1.8)}; sharp ${ms.finestDecode.toFixed(0)} ms`,
);
say('file to reading, 61 MP over 24 MP', `${ms.largest.toFixed(0)} ms, ${ratio(ms.largest / ms.reading, 2.5)}`);
say(
  '  the first of a program',
  `${cold.toFixed(0)} ms, plates brought to size; the others after ${WARM_FRAMES} frames`,
);
say('sharp decodes 24 MP in full', `${ms.full.toFixed(0)} ms, ${(ms.full / ms.decode).toFixed(2)} ×`);
say('picture for 60 × 34 cells', `${ms.picture.toFixed(0)} ms, ${(ms.picture / ms.decode).toFixed(2)} ×`);
const listed = (values: number[]): string => values.map(value => value.toFixed(0)).join(' ');
const worst = median(heldUps);
say(
  'event loop while measuring',
  `held up ${worst.toFixed(1)} ms in the middle of ${LAG_FRAMES} frames (≤ ${MOST_HELD_UP_MS})${worst <= MOST_HELD_UP_MS ? '' : ': too long'}`,
);
say('  at the most, ms a frame', `${listed(heldUps)}; doing nothing, ${listed(idle)}`);
