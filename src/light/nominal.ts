import {LightFault, positive} from './fault.js';

/**
 * The marked values of the dials and the exact ones behind them. Exact: N = 2^(i/2·step), t = 2^(i·step),
 * S = 100·2^(i·step) with steps of a third or half a stop; the marks are rounded by convention.
 */
export type Steps = 'thirds' | 'halves';

/** A marked value, and the exact one that it stands for. */
export type Nominal = {marked: number; exact: number};

const perStop: Record<Steps, number> = {thirds: 3, halves: 2};

const thirdsF = [
  0.7, 0.8, 0.9, 1, 1.1, 1.2, 1.4, 1.6, 1.8, 2, 2.2, 2.5, 2.8, 3.2, 3.5, 4, 4.5, 5, 5.6, 6.3, 7.1, 8, 9, 10, 11, 13, 14,
  16, 18, 20, 22, 25, 29, 32, 36, 40, 45, 51, 57, 64,
];
const halvesF = [0.7, 0.85, 1, 1.2, 1.4, 1.7, 2, 2.4, 2.8, 3.3, 4, 4.8, 5.6, 6.7, 8, 9.5, 11, 13, 16, 19, 22, 27, 32];

/** Denominators of the marks below a second, and the marks from 0.3 s on; the longest timed setting is 30 s. */
const thirdsFractions = [
  8000, 6400, 5000, 4000, 3200, 2500, 2000, 1600, 1250, 1000, 800, 640, 500, 400, 320, 250, 200, 160, 125, 100, 80, 60,
  50, 40, 30, 25, 20, 15, 13, 10, 8, 6, 5, 4,
];
const thirdsSeconds = [0.3, 0.4, 0.5, 0.6, 0.8, 1, 1.3, 1.6, 2, 2.5, 3.2, 4, 5, 6, 8, 10, 13, 15, 20, 25, 30];
const halvesFractions = [
  8000, 6000, 4000, 3000, 2000, 1500, 1000, 750, 500, 350, 250, 180, 125, 90, 60, 45, 30, 20, 15, 10, 8, 6, 4,
];
const halvesSeconds = [0.3, 0.5, 0.7, 1, 1.5, 2, 3, 4, 6, 8, 10, 15, 20, 30];

const thirdsIso = [
  50, 64, 80, 100, 125, 160, 200, 250, 320, 400, 500, 640, 800, 1000, 1250, 1600, 2000, 2500, 3200, 4000, 5000, 6400,
  8000, 10_000, 12_800, 16_000, 20_000, 25_600, 32_000, 40_000, 51_200, 64_000, 80_000, 102_400,
];
const halvesIso = [
  50, 70, 100, 140, 200, 280, 400, 560, 800, 1100, 1600, 2200, 3200, 4500, 6400, 9000, 12_800, 18_000, 25_600, 36_000,
  51_200, 72_000, 102_400,
];

const marked = (
  marks: readonly number[],
  steps: Steps,
  firstIndex: number,
  stopsPerIndex: number,
  one: number,
): Nominal[] =>
  marks.map((mark, position) => ({
    marked: mark,
    exact: one * 2 ** (((firstIndex + position) / perStop[steps]) * stopsPerIndex),
  }));

const times = (
  fractions: readonly number[],
  seconds: readonly number[],
  steps: Steps,
  indexOfOneSecond: number,
): Nominal[] => marked([...fractions.map(part => 1 / part), ...seconds], steps, -indexOfOneSecond, 1, 1);

const fNumbers: Record<Steps, Nominal[]> = {
  thirds: marked(thirdsF, 'thirds', -3, 0.5, 1),
  halves: marked(halvesF, 'halves', -2, 0.5, 1),
};
const shutters: Record<Steps, Nominal[]> = {
  thirds: times(thirdsFractions, thirdsSeconds, 'thirds', thirdsFractions.length + thirdsSeconds.indexOf(1)),
  halves: times(halvesFractions, halvesSeconds, 'halves', halvesFractions.length + halvesSeconds.indexOf(1)),
};
const isos: Record<Steps, Nominal[]> = {
  thirds: marked(thirdsIso, 'thirds', -3, 1, 100),
  halves: marked(halvesIso, 'halves', -2, 1, 100),
};

/** Marked f-numbers, f/0.7 to f/64 in thirds, to f/32 in halves. */
export const nominalFNumbers = (steps: Steps = 'thirds'): readonly Nominal[] => fNumbers[steps];

/** Marked shutter times in seconds, 1/8000 to 30 s. Longer times are bulb and need no marks. */
export const nominalShutters = (steps: Steps = 'thirds'): readonly Nominal[] => shutters[steps];

/** Marked ISO values, 50 to 102400. */
export const nominalIsos = (steps: Steps = 'thirds'): readonly Nominal[] => isos[steps];

/**
 * The value of a series nearest in stops.
 * @param values positive numbers, at least one
 * @throws LightFault for an empty series
 */
export const nearestOf = (values: readonly number[], wanted: number): number => {
  positive('The wanted value', wanted);
  let best: number | undefined;
  for (const value of values) {
    if (best === undefined || Math.abs(Math.log2(value / wanted)) < Math.abs(Math.log2(best / wanted))) best = value;
  }
  if (best === undefined) throw new LightFault('The camera offers no value to choose from.');
  return best;
};

/** The marked value nearest in stops to a wanted one. */
export const nearestNominal = (series: readonly Nominal[], wanted: number): Nominal => {
  const exact = nearestOf(
    series.map(value => value.exact),
    wanted,
  );
  return series.find(value => value.exact === exact)!;
};

/**
 * The exact value behind a marked one, or the value itself where it isn't a mark (bulb times, odd ISO values).
 * @param marked as a dial or Exif gives it
 */
export const exactOf = (series: readonly Nominal[], value: number): number =>
  series.find(nominal => Math.abs(Math.log2(nominal.marked / value)) < 1e-3)?.exact ?? value;
