import {execFile} from 'node:child_process';
import {mkdtemp, rm} from 'node:fs/promises';
import {tmpdir} from 'node:os';
import path from 'node:path';
import {promisify} from 'node:util';
import {expect} from 'vitest';
import {percentile} from '../rooms/summary.js';
import {holdRooms, tableOf} from './hold.js';

/** The long edge of small rooms, px. */
const LONG_EDGE = '640';

/**
 * Has rooms made, small, and expects that they are read without a wrong word about flashes, crossing, trail or side, and
 * as exactly as the project holds itself to.
 * @param maker the Python program that makes them
 * @param rooms numbers of its rooms, as 2,4,12
 * @param frames how many there are in all
 */
export const expectRead = async (maker: string, rooms: string, frames: number): Promise<void> => {
  const folder = await mkdtemp(path.join(tmpdir(), 'darkset-apart-'));
  try {
    await promisify(execFile)('/usr/bin/python3', [maker, folder, '--only', rooms, '--size', LONG_EDGE]);
    const held = await holdRooms(folder);
    console.log(tableOf(held));
    const lines = held.lines.join('\n');
    expect(held.frames).toBe(frames);
    expect(
      [...held.wrong].filter(([, {times}]) => times > 0),
      lines,
    ).toEqual([]);
    const p90 = (what: string): number => percentile(held.errors.get(what)!, 0.9);
    expect(p90('coverage'), lines).toBeLessThanOrEqual(0.04);
    expect(p90('head gap, heads'), lines).toBeLessThanOrEqual(0.06);
    expect(p90('power, EV'), lines).toBeLessThanOrEqual(0.25);
    expect(p90('rise of leaks, EV'), lines).toBeLessThanOrEqual(0.3);
  } finally {
    await rm(folder, {recursive: true, force: true});
  }
};
