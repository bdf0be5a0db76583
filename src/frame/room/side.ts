import type {Side} from '../../../shared/reading.js';
import {solveSymmetric} from '../linear-solve.js';
import {biweight, MAD_TO_SIGMA, medianOf} from '../robust.js';
import type {WallBlock} from './wall-samples.js';

/** How much brighter, in EV, new light must be at one edge than at the other not to be even. */
const LEAST_LEAN = 0.55;
/** By how much levels differ from a plane however well they are known, as a part. */
const EVEN_EV = 0.5;
/** Rounds of the robust fits. */
const ROUNDS = 6;

const mean = (values: ArrayLike<number>): number =>
  Array.from(values).reduce((sum, value) => sum + value, 0) / Math.max(1, values.length);

const weightsFor = (misfit: Float64Array, trust: Float64Array): Float64Array<ArrayBuffer> => {
  const sigma = Math.max(0.1, MAD_TO_SIGMA * medianOf(misfit.map(Math.abs)));
  return Float64Array.from(misfit, (value, i) => trust[i]! * biweight(value, sigma));
};

/** How levels lean across the frame and down, in EV from edge to edge: a plane laid through all blocks robustly. */
const leanOfAll = (
  blocks: readonly WallBlock[],
  levels: Float64Array,
  trust: Float64Array,
): {across: number; down: number} => {
  let weights = Float64Array.from(trust);
  let [across, down] = [0, 0];
  for (let round = 0; round < ROUNDS; round++) {
    const gram = new Float64Array(9);
    const moment = new Float64Array(3);
    blocks.forEach(({x, y}, i) => {
      const row = [1, x - 0.5, y - 0.5];
      for (let a = 0; a < 3; a++) {
        moment[a] = moment[a]! + weights[i]! * row[a]! * levels[i]!;
        for (let b = 0; b < 3; b++) gram[3 * a + b] = gram[3 * a + b]! + weights[i]! * row[a]! * row[b]!;
      }
    });
    for (let a = 0; a < 3; a++) gram[4 * a] = gram[4 * a]! + 1e-9;
    const solved = solveSymmetric(gram, moment);
    [across, down] = [solved[1]!, solved[2]!];
    const misfit = Float64Array.from(
      blocks,
      ({x, y}, i) => levels[i]! - solved[0]! - across * (x - 0.5) - down * (y - 0.5),
    );
    weights = weightsFor(misfit, trust);
  }
  return {across, down};
};

/** A value's weighted mean over the blocks of each row or column. */
const meansBy = (lines: readonly number[], weights: Float64Array, values: Float64Array): Float64Array => {
  const sums = new Map<number, {weight: number; sum: number}>();
  lines.forEach((line, i) => {
    const {weight, sum} = sums.get(line) ?? {weight: 0, sum: 0};
    sums.set(line, {weight: weight + weights[i]!, sum: sum + weights[i]! * values[i]!});
  });
  return Float64Array.from(lines, line => {
    const {weight, sum} = sums.get(line)!;
    return weight > 0 ? sum / weight : 0;
  });
};

/**
 * How levels lean along one direction within lines along it, each of which may be as bright as it is: the sitter hides the
 * middle of the lower rows, so that light from one side, which falls off ever more slowly, would also seem to come from
 * above or below.
 * @param lines each block's row, or column
 * @param places where each lies along it
 */
const leanWithin = (
  lines: readonly number[],
  places: Float64Array,
  levels: Float64Array,
  trust: Float64Array,
): number => {
  let weights = Float64Array.from(trust);
  let lean = 0;
  for (let round = 0; round < ROUNDS; round++) {
    const meanPlaces = meansBy(lines, weights, places);
    const meanLevels = meansBy(lines, weights, levels);
    let squares = 0;
    let products = 0;
    for (let i = 0; i < levels.length; i++) {
      const along = places[i]! - meanPlaces[i]!;
      squares += weights[i]! * along * along;
      products += weights[i]! * along * (levels[i]! - meanLevels[i]!);
    }
    lean = squares > 0 ? products / squares : 0;
    weights = weightsFor(
      levels.map((level, i) => level - meanLevels[i]! - lean * (places[i]! - meanPlaces[i]!)),
      trust,
    );
  }
  return lean;
};

/**
 * A side that light may come from: how levels lean towards it, and how they do so at the end of each line, in EV an edge;
 * and the part of the wall that is seen near that edge.
 */
type Way = {side: Side; lean: number; atEnd: () => number; seen: number};

/** What lies within this part of the frame is near an edge. */
const NEAR = 1 / 3;
/** Where all of the wall is near an edge, the lean to it counts for so many EV more than where none is. */
const SEEN_COUNTS = 2.5;

/**
 * Where less than this part of the wall is seen near an edge, how levels lean to it is known the less; where none is, only
 * so much of it counts against another side. What seems to lean there is mostly light on the wall beside the sitter.
 */
const ENOUGH_SEEN = 0.06;
const UNSEEN_COUNTS = 0.22;
/** And only against one to which levels lean by so much, EV. */
const LEANS_CLEARLY = 2;
const knownBy = (seen: number): number => UNSEEN_COUNTS + (1 - UNSEEN_COUNTS) * Math.min(1, seen / ENOUGH_SEEN);

/** How far a place lies from the frame's middle, in half diagonals, squared. */
const squaredFromMiddle = ({x, y, column, row}: WallBlock): number => {
  const [wide, high] = [(column + 0.5) / x, (row + 0.5) / y];
  return ((wide * (x - 0.5)) ** 2 + (high * (y - 0.5)) ** 2) / ((wide ** 2 + high ** 2) / 4);
};

/**
 * Stops by which a lens darkens places as the fourth power of the cosine does, if its focal length is the picture's
 * diagonal: 0.64 EV in the corners. Many lenses darken them more, few less.
 */
const darkenedBy = (block: WallBlock): number => 2 * Math.log2(1 + squaredFromMiddle(block) / 4);

/** The part of each line that is its end. */
const END = 0.4;

/** How many times as much the ends of lines tell as the whole of them. */
const END_COUNTS = 1.2;
/** A way along which levels fall before the end is none where another leans at least so much as this part of it. */
const AS_MUCH = 0.5;

type Lines = {lines: readonly number[]; places: Float64Array; levels: Float64Array; trust: Float64Array};

/**
 * How levels rise within lines at their ends on one side. Light from a side is brightest there: what was rising and falls
 * again before the end came from elsewhere, and the sitter hides where from.
 */
const leanAtEnd = ({lines, places, levels, trust}: Lines, towards: -1 | 1): number => {
  const spans = new Map<number, {least: number; most: number}>();
  lines.forEach((line, i) => {
    const place = towards * places[i]!;
    const {least, most} = spans.get(line) ?? {least: place, most: place};
    spans.set(line, {least: Math.min(least, place), most: Math.max(most, place)});
  });
  const isAtEnd = (line: number, i: number): boolean => {
    const {least, most} = spans.get(line)!;
    return towards * places[i]! >= most - END * (most - least);
  };
  const ends = lines.flatMap((line, i) => (isAtEnd(line, i) ? [i] : []));
  const pick = (values: Float64Array): Float64Array => Float64Array.from(ends, i => values[i]!);
  const within = leanWithin(
    ends.map(i => lines[i]!),
    pick(places),
    pick(levels),
    pick(trust),
  );
  return towards * within;
};

/**
 * From where new light comes.
 * @param newLight of each block, linear
 * @param doubts σ of each, linear
 */
export const sideOf = (blocks: readonly WallBlock[], newLight: ArrayLike<number>, doubts: ArrayLike<number>): Side => {
  const floor = 0.05 * Math.max(0, mean(newLight)) + 1e-6;
  const levels = Float64Array.from(
    newLight,
    (value, i) => Math.log2(Math.max(0, value) + floor) + darkenedBy(blocks[i]!),
  );
  // A level is known the less, in EV, the more of the light is doubtful.
  const trust = Float64Array.from(newLight, (value, i) => {
    const part = doubts[i]! / (Math.max(0, value) + floor);
    return EVEN_EV ** 2 / (EVEN_EV ** 2 + part ** 2);
  });
  const all = leanOfAll(blocks, levels, trust);
  if (!(Math.max(Math.abs(all.across), Math.abs(all.down)) >= LEAST_LEAN)) return 'even';
  const rows = blocks.map(({row}) => row);
  const columns = blocks.map(({column}) => column);
  const xs = Float64Array.from(blocks, ({x}) => x);
  const ys = Float64Array.from(blocks, ({y}) => y);
  // Either alone errs where the other does not.
  const across = all.across + leanWithin(rows, xs, levels, trust);
  const down = all.down + leanWithin(columns, ys, levels, trust);
  const along = (lines: readonly number[], places: Float64Array, towards: -1 | 1): number =>
    leanAtEnd({lines, places, levels, trust}, towards);
  // The less of the wall is seen near an edge, the more of the lean to it is only thought to go on there.
  const seen = (places: Float64Array): number => places.filter(place => place < NEAR).length / places.length;
  const fromEnd = (places: Float64Array): Float64Array => places.map(place => 1 - place);
  const ways: Way[] = [
    {side: 'left', lean: -across, atEnd: () => along(rows, xs, -1), seen: seen(xs)},
    {side: 'right', lean: across, atEnd: () => along(rows, xs, 1), seen: seen(fromEnd(xs))},
    {side: 'top', lean: -down, atEnd: () => along(columns, ys, -1), seen: seen(ys)},
    {side: 'bottom', lean: down, atEnd: () => along(columns, ys, 1), seen: seen(fromEnd(ys))},
  ];
  const leaning = ways
    .filter(({lean}) => lean > 0)
    .map(way => {
      const atEnd = way.atEnd();
      return {...way, atEnd, leans: way.lean + END_COUNTS * atEnd};
    });
  const isOutdone = ({lean, atEnd, leans, seen}: (typeof leaning)[number]): boolean =>
    leaning.some(other => {
      const fallsBefore = atEnd <= 0 && other.atEnd > 0 && other.lean >= AS_MUCH * lean;
      const isSeenMore = seen < ENOUGH_SEEN && other.seen >= ENOUGH_SEEN;
      return fallsBefore || (isSeenMore && other.lean >= LEANS_CLEARLY && other.leans >= knownBy(seen) * leans);
    });
  const told = ({leans, seen}: (typeof leaning)[number]): number => leans + SEEN_COUNTS * seen;
  const likely = leaning.filter(way => !isOutdone(way));
  return likely.toSorted((one, other) => told(other) - told(one))[0]?.side ?? 'even';
};
