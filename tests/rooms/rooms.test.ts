import {mkdtemp, rm} from 'node:fs/promises';
import {tmpdir} from 'node:os';
import {join} from 'node:path';
import {afterAll, beforeAll, describe, expect, it} from 'vitest';
import {needs} from '../needs.js';
import {measureRooms} from './measure-rooms.js';
import {missingPhotographs, photographPackages} from './photographs.js';
import {planRoom, type RoomSet} from './plan.js';
import {broken, summarise, table} from './summary.js';

/*
 * A small part of both sets, at a small size, so that it fits into CI; `npx tsx tests/rooms/evaluate.ts` measures all.
 */
const rooms: [set: RoomSet, index: number][] = [
  ['open', 0],
  ['open', 7],
  ['open', 6],
  ['open', 13],
  ['held-out', 2],
  ['held-out', 8],
];

/* Budgets that do not hold yet. They may only get better: a budget that holds is taken off this list. */
const notYet = ['coverage'];
const FAILURES_SEEN = 4;

describe('measuring rooms that the program has never seen', () => {
  let folder: string;
  beforeAll(async () => {
    folder = await mkdtemp(join(tmpdir(), 'darkset-rooms-test-'));
  });
  afterAll(async () => {
    await rm(folder, {recursive: true, force: true});
  });

  it('keeps the budgets that hold over a handful of rooms, and fails the others no more often than it did', {
    timeout: 300_000,
  }, async context => {
    if (missingPhotographs().length > 0) needs(context, {python: 'skimage, scipy.misc'}, photographPackages);
    const recipes = rooms.map(([set, index]) => {
      const room = planRoom(set, index, 640);
      return {...room, frames: room.frames.slice(0, 6)};
    });
    const scores = await measureRooms(recipes, folder);
    const summary = summarise(scores);
    console.log(table(summary));
    const failures = scores.flatMap(score =>
      score.failures.map(failure => `${score.room}/${score.frame.file}: ${failure}`),
    );
    console.log(failures.join('\n'));
    expect(summary.frames).toBe(36);
    const news = broken(summary).filter(sentence => !notYet.some(known => sentence.startsWith(known)));
    expect(news, failures.join('\n')).toEqual([]);
    expect(failures.length).toBeLessThanOrEqual(FAILURES_SEEN);
  });
});
