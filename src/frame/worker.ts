import {parentPort} from 'node:worker_threads';
import sharp from 'sharp';
import type {Measurement} from '../../shared/reading.js';
import type {Zones} from '../../shared/zones.js';
import {beliefFor, type LearnedCurve, learnFrom} from './curve/learned-curve.js';
import {decodeFrame, decodePicture} from './decode/decode.js';
import {FrameFault} from './fault.js';
import {guessZonesIn} from './guess-zones.js';
import {learnSitter, measureKnowing} from './measure.js';
import {loadPlates, type PlateSet} from './plates.js';
import type {Jobs, Reply, Request} from './worker-messages.js';

/*
 * The measuring thread: answers one request after another, so that memory stays that of one frame and the plates.
 */

// Every frame is another file; keeping decoded ones would only grow the memory.
sharp.cache(false);

let plates: PlateSet | null = null;
/** What the frames so far said of the tone curve, which is the plates' too. */
let learned: LearnedCurve = new Map();

const measured = async (file: string, zones: Zones | null): Promise<Measurement> => {
  learnSitter(learned, plates, zones);
  const {measurement, evidence} = await measureKnowing(beliefFor(learned, file), file, plates, zones);
  if (evidence) learnFrom(learned, file, evidence);
  return measurement;
};

const answer = async (request: Request): Promise<Jobs[Request['job']]['answer']> => {
  switch (request.job) {
    case 'usePlates':
      plates = null;
      learned = new Map();
      plates = request.folder === null ? null : await loadPlates(request.folder);
      return null;
    case 'measure':
      return measured(request.file, request.zones ?? plates?.zones ?? null);
    case 'guessZones':
      return guessZonesIn(await decodeFrame(request.file));
    case 'picture':
      return decodePicture(request.file, request.maxWidth, request.maxHeight);
  }
};

const reply = async (request: Request): Promise<Reply> => {
  try {
    return {id: request.id, ok: true, answer: await answer(request)};
  } catch (error) {
    const message = error instanceof Error ? error.message : String(error);
    return {id: request.id, ok: false, reason: error instanceof FrameFault ? error.reason : null, message};
  }
};

let queue = Promise.resolve();
parentPort?.on('message', (request: Request) => {
  queue = queue.then(async () => parentPort?.postMessage(await reply(request)));
});
