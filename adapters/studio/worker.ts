import {parentPort} from 'node:worker_threads';
import sharp from 'sharp';
import {exifSegment, withSegment} from './exif.js';
import {develop} from './scene/sensor.js';
import {type Stage, stageOf} from './scene/stage.js';
import type {Done, SetSettings, TakeWork, Work} from './work.js';

/** Light is worked out on at most this many pixels across; larger pictures are enlarged and get their grain at full size. */
const WIDEST_STAGE = 1500;

let standing: {key: string; stage: Stage} | null = null;

/** The set for this rig; rebuilt only when something that the relief depends on has changed. */
const stageFor = (set: SetSettings): Stage => {
  const {mark, lens} = set.rig;
  const key = JSON.stringify([mark, lens, set.room, set.seed, set.width, set.height]);
  if (standing?.key !== key) {
    const width = Math.min(set.width, WIDEST_STAGE);
    const height = Math.max(2, Math.round((set.height * width) / set.width));
    standing = {key, stage: stageOf(set.rig, width, height, set.room, set.seed)};
  }
  return standing.stage;
};

const take = async (work: TakeWork): Promise<Uint8Array> => {
  const {width, height} = work.set;
  const light = stageFor(work.set).expose(work.shot);
  const rgb = develop(light, width, height, work.sensor);
  const jpeg = await sharp(rgb, {raw: {width, height, channels: 3}})
    .jpeg({quality: work.quality, chromaSubsampling: '4:4:4'})
    .toBuffer();
  return new Uint8Array(withSegment(jpeg, exifSegment(work.exif)));
};

const answer = async (work: Work): Promise<Done> => {
  try {
    if (work.kind === 'take') return {kind: 'taken', id: work.id, jpeg: await take(work)};
    stageFor(work.set).warm();
    return {kind: 'prepared', id: work.id};
  } catch (error) {
    return {kind: 'failed', id: work.id, say: error instanceof Error ? error.message : String(error)};
  }
};

const port = parentPort;
if (port) {
  // One after the other: two frames at once would only halve each other's speed.
  let last: Promise<void> = Promise.resolve();
  port.on('message', (work: Work) => {
    last = last.then(async () => {
      const done = await answer(work);
      port.postMessage(done, done.kind === 'taken' ? [done.jpeg.buffer as ArrayBuffer] : []);
    });
  });
}
