import {loadavg} from 'node:os';

export const median = (values: readonly number[]): number =>
  [...values].sort((a, b) => a - b)[Math.floor(values.length / 2)]!;

/** Milliseconds that some work takes. */
export const took = async (work: () => Promise<unknown>): Promise<number> => {
  const from = performance.now();
  await work();
  return performance.now() - from;
};

/**
 * Median milliseconds of several kinds of work, done in turns, so that a machine busy with other things is so for all of
 * them.
 */
export const inTurns = async <Name extends string>(
  rounds: number,
  works: Record<Name, () => Promise<unknown>>,
): Promise<Record<Name, number>> => {
  const names = Object.keys(works) as Name[];
  const times = new Map<Name, number[]>(names.map(name => [name, []]));
  // The first time of each is slower: code is compiled, files are read from the disk, plates brought to size.
  for (const name of names) await works[name]();
  for (let round = 0; round < rounds; round++) {
    for (const name of names) times.get(name)!.push(await took(works[name]));
  }
  return Object.fromEntries(names.map(name => [name, median(times.get(name)!)])) as Record<Name, number>;
};

export const say = (what: string, text: string): void => console.log(`${what.padEnd(38)}${text}`);

export const sayLoad = (): void => say('load of the machine', loadavg()[0]!.toFixed(1));

/** A ratio with what it may be at the most. */
export const ratio = (value: number, most: number): string =>
  `${value.toFixed(2)} × (≤ ${most})${value <= most ? '' : ': too slow'}`;
