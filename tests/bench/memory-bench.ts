import {bundleFrame} from './bundled-frame.js';
import {demoAttempt, demoPlates} from './demo-frames.js';
import {median, say, sayLoad} from './timing.js';

/*
 * Whether memory stays flat over 500 frames of an evening, measured one after another in the thread that the shoot uses.
 * DARKSET_BENCH_FRAMES=100 makes it shorter.
 */

const FRAMES = Number(process.env.DARKSET_BENCH_FRAMES ?? 500);
/** Frames before the first sample: by then everything that is kept once is there. */
const WARM_UP = Math.min(200, FRAMES);
const EVERY = Math.max(1, Math.min(50, Math.floor(FRAMES / 4)));
/**
 * Growth over all frames that is none: no more than what waits for the collector differs by. A hundredth of a frame's
 * pixels, kept by each, would be more.
 */
const FLAT_MB = 32;

const attempts = ['1.jpg', '2.jpg', '3.jpg', '4-b-missing.jpg', '5-room-light.jpg'].map(demoAttempt);

/** The middle of what the process held after each of some frames, and of the asking thread's heap. */
type Sample = {frame: number; rss: number; heap: number};

const {openMeasurer} = await bundleFrame();
const measurer = openMeasurer();
await measurer.usePlates(demoPlates);

const samples: Sample[] = [];
let held: number[] = [];
const sample = (frame: number): void => {
  globalThis.gc?.();
  samples.push({frame, rss: median(held), heap: process.memoryUsage().heapUsed / 2 ** 20});
  held = [];
};

const from = performance.now();
for (let done = 1 - WARM_UP; done <= FRAMES; done++) {
  await measurer.measure(attempts[(done + WARM_UP) % attempts.length]!, null);
  held.push(process.memoryUsage.rss() / 2 ** 20);
  if (done === 0) held = [];
  else if (done > 0 && done % EVERY === 0) sample(done);
}
const seconds = (performance.now() - from) / 1000;
await measurer.close();

/** Least squares: MB a frame. */
const growth = (of: (sample: Sample) => number): number => {
  const meanX = samples.reduce((sum, {frame}) => sum + frame, 0) / samples.length;
  const meanY = samples.reduce((sum, one) => sum + of(one), 0) / samples.length;
  const moment = samples.reduce((sum, one) => sum + (one.frame - meanX) * (of(one) - meanY), 0);
  return moment / samples.reduce((sum, {frame}) => sum + (frame - meanX) ** 2, 0);
};

say('measured', 'src/frame as it stands, bundled, in its thread');
sayLoad();
say('frames', `${FRAMES} after ${WARM_UP} to warm up, ${(seconds / (FRAMES + WARM_UP)).toFixed(2)} s each`);
say(`process, MB, every ${EVERY} frames`, samples.map(({rss}) => rss.toFixed(0)).join(' '));
say("asking thread's heap, MB", samples.map(({heap}) => heap.toFixed(1)).join(' '));
const rss = growth(one => one.rss);
const heap = growth(one => one.heap);
say('growth a frame', `process ${(1024 * rss).toFixed(0)} KB, asking thread's heap ${(1024 * heap).toFixed(1)} KB`);
const isFlat = rss * FRAMES < FLAT_MB;
say(
  'verdict',
  `${isFlat ? 'flat' : 'grows'}: ${(rss * FRAMES).toFixed(1)} MB over ${FRAMES} frames (less than ${FLAT_MB} MB is none)`,
);
process.exitCode = isFlat ? 0 : 1;
