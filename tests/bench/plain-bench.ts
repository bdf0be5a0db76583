import {spawnSync} from 'node:child_process';
import path from 'node:path';
import sharp from 'sharp';
import type {Measurement} from '../../shared/reading.js';
import {bundleFrame} from './bundled-frame.js';
import {compareReadings, type PlainReading} from './compare-readings.js';
import {enlargedAttempt, enlargedPlates, MP24} from './demo-frames.js';
import {median, say, sayLoad, took} from './timing.js';

/*
 * The same measures written plainly with scikit-image and SciPy (plain/plain-measures.py), on frames of 24 MP: how many
 * times faster ours are, and whether both say the same. Ends with 1 where they don't, with 2 where Python's packages are
 * missing.
 */

const python = '/usr/bin/python3';
const script = path.join(import.meta.dirname, 'plain/plain-measures.py');
const attempts = ['1.jpg', '2.jpg', '3.jpg', '4-b-missing.jpg', '5-room-light.jpg'];
const LEAST_FASTER = 8;
const ROUNDS = 3;
const WARM_FRAMES = 15;

if (spawnSync(python, ['-c', 'import PIL, scipy, skimage.registration']).status !== 0) {
  console.error(
    `The plain measures need Debian's scikit-image for ${python}: apt-get install python3-skimage python3-scipy`,
  );
  process.exit(2);
}

type PlainLine = {file: string; ms: number; reading: PlainReading};

const plainly = (plates: string, frames: readonly string[]): PlainLine[] => {
  const {status, stdout, stderr} = spawnSync(python, [script, plates, ...frames], {encoding: 'utf8'});
  if (status !== 0) throw new Error(`${path.basename(script)} ended with ${status}:\n${stderr}`);
  const lines = stdout.trim().split('\n');
  return lines.map(line => JSON.parse(line) as PlainLine);
};

sharp.cache(false);
const {folder, measureFrame, loadPlates} = await bundleFrame();
const platesFolder = await enlargedPlates(folder);
const frames: string[] = [];
for (const attempt of attempts) frames.push(await enlargedAttempt(attempt, folder, MP24));
const plates = await loadPlates(platesFolder);
// Brings the plates to size and compiles the code; the plain measures have theirs compiled, and their plates at size.
for (let time = 0; time < WARM_FRAMES; time++) await measureFrame(frames[0]!, plates, plates.zones);

const ours: {ms: number; reading: Measurement}[] = [];
const timeOurs = async (frame: string): Promise<number> => {
  const times: number[] = [];
  for (let round = 0; round < ROUNDS; round++) times.push(await took(() => measureFrame(frame, plates, plates.zones)));
  return median(times);
};
// Ours before and after, so that both see the same load of the machine about as much.
const before: number[] = [];
for (const frame of frames) before.push(await timeOurs(frame));
const plain = plainly(platesFolder, frames);
for (const [n, frame] of frames.entries()) {
  const after = await timeOurs(frame);
  ours.push({ms: (before[n]! + after) / 2, reading: await measureFrame(frame, plates, plates.zones)});
}

say('measured', 'src/frame as it stands, bundled like the shipped program; the same in scikit-image and SciPy');
sayLoad();
const ratios = ours.map(({ms}, n) => plain[n]!.ms / ms);
let differences = 0;
const limits = new Map<string, string>();
for (const [n, {ms, reading}] of ours.entries()) {
  const compared = compareReadings(reading, plain[n]!.reading);
  for (const {what, within} of compared) if (within.startsWith('±')) limits.set(what, within);
  const differing = compared.filter(({state}) => state === 'differs');
  const open = compared.filter(({state}) => state === 'open');
  differences += differing.length;
  const values = `${compared.length - differing.length - open.length} of ${compared.length - open.length} values agree`;
  const left = open.length > 0 ? `; ${open.length} that this frame cannot tell are left out` : '';
  say(
    attempts[n]!,
    `ours ${ms.toFixed(0)} ms, plain ${plain[n]!.ms.toFixed(0)} ms: ${ratios[n]!.toFixed(1)} ×; ${values}${left}`,
  );
  for (const {what, ours: own, plain: other, within} of differing) {
    console.log(`    ${what.padEnd(30)}ours ${own.padStart(9)}  plain ${other.padStart(9)}  (${within})`);
  }
}
const faster = median(ratios);
say(
  'ours is faster by',
  `${faster.toFixed(1)} × in the middle, ${Math.min(...ratios).toFixed(1)} × at the least (≥ ${LEAST_FASTER})${faster >= LEAST_FASTER ? '' : ': too slow'}`,
);
say('values agree within', [...limits].map(([what, within]) => `${what} ${within}`).join('; '));
say('values', differences === 0 ? 'agree' : `${differences} differ`);
process.exitCode = differences === 0 ? 0 : 1;
