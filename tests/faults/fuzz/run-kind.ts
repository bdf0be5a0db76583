import {mkdir, rm} from 'node:fs/promises';
import path from 'node:path';
import type {FuzzKind} from './kind.js';
import {seedOf} from './kinds.js';
import {randomOf} from './random.js';

export type KindReport = {kind: string; inputs: number; slowestMs: number; found: {index: number; what: string}[]};

/**
 * Feeds inputs of one kind.
 * @param onInput called before each input, so that whoever watches knows which one hangs or crashes
 */
export const runKind = async (
  kind: FuzzKind,
  {seed, from, to, folder}: {seed: number; from: number; to: number; folder: string},
  onInput: (index: number) => void = () => undefined,
): Promise<KindReport> => {
  const own = path.join(folder, kind.name.replace(/\W+/g, '-'));
  await rm(own, {recursive: true, force: true});
  await mkdir(own, {recursive: true});
  const report: KindReport = {kind: kind.name, inputs: 0, slowestMs: 0, found: []};
  const trier = await kind.open(own);
  const found = (index: number, error: unknown): void => {
    report.found.push({index, what: error instanceof Error ? error.message : String(error)});
  };
  for (let index = from; index < to; index++) {
    onInput(index);
    const began = performance.now();
    await trier.try(randomOf(seedOf(seed, kind.name, index))).catch(error => found(index, error));
    report.slowestMs = Math.max(report.slowestMs, performance.now() - began);
    report.inputs += 1;
  }
  await trier.close?.().catch(error => found(to, error));
  await rm(own, {recursive: true, force: true});
  return report;
};
