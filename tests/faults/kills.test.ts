import {describe, expect, it} from 'vitest';
import {temporaryFolder} from '../shoot/fakes.js';
import {killRun, printReport} from './kill-run.js';

/** A new seed every time, printed, and given again through DARKSET_SEED to see the same instants. */
const seed = Number(process.env.DARKSET_SEED ?? Math.floor(Math.random() * 1e9));

describe.concurrent('a program that is killed at random instants', () => {
  it.each([
    ['a camera that goes on by itself', 'card', 40],
    ['the simulated room', 'studio', 10],
  ] as const)(
    'loses no frame and no entry, with %s',
    async (_, camera, kills) => {
      const {folder, remove} = await temporaryFolder();
      const report = await killRun(folder, camera, kills, seed);
      console.log(printReport(report));
      expect(report.wrong).toEqual([]);
      expect(report.attempts).toBeGreaterThan(0);
      await remove();
    },
    600_000,
  );
});
