import {execFile} from 'node:child_process';
import {mkdtemp, rm} from 'node:fs/promises';
import {tmpdir} from 'node:os';
import path from 'node:path';
import {promisify} from 'node:util';
import {afterEach, describe, expect, it} from 'vitest';
import {needs} from '../needs.js';
import {percentile} from '../rooms/summary.js';
import {holdRooms, tableOf} from '../rooms-apart/hold.js';

/*
 * Rooms by a third author, who had read what is measured but neither how nor the other rooms: sitters in three dimensions
 * whose heads shade themselves and throw shadows on the wall, rims, rooms that show the sitter on the dark plate, light
 * that the lamp itself throws about. Four of them, small, which are read rightly; not all are (README, "Light adds").
 */
const ROOMS = '2,6,7,8';
const LONG_EDGE = '640';

describe('rooms of relit sitters', () => {
  let folder: string | null = null;
  afterEach(async () => {
    if (folder) await rm(folder, {recursive: true, force: true});
  });

  it('are read without a wrong word about flashes, crossing, trail or side', {timeout: 240_000}, async context => {
    needs(context, {python: 'skimage, scipy, PIL, cv2'}, 'python3-skimage python3-scipy python3-pil python3-opencv');
    folder = await mkdtemp(path.join(tmpdir(), 'darkset-relit-'));
    const maker = path.join(import.meta.dirname, 'make_rooms.py');
    await promisify(execFile)('/usr/bin/python3', [maker, folder, '--only', ROOMS, '--size', LONG_EDGE]);
    const held = await holdRooms(folder);
    console.log(tableOf(held));
    const lines = held.lines.join('\n');
    expect(held.frames).toBe(37);
    expect(
      [...held.wrong].filter(([, {times}]) => times > 0),
      lines,
    ).toEqual([]);
    const p90 = (what: string): number => percentile(held.errors.get(what)!, 0.9);
    expect(p90('coverage'), lines).toBeLessThanOrEqual(0.04);
    expect(p90('head gap, heads'), lines).toBeLessThanOrEqual(0.06);
    expect(p90('power, EV'), lines).toBeLessThanOrEqual(0.25);
    expect(p90('rise of leaks, EV'), lines).toBeLessThanOrEqual(0.3);
  });
});
