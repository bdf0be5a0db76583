import {isNear, LEAST_PIXELS, type Line} from './line.js';
import {lengthOf, type Shape, thicknessOf} from './shapes.js';

/*
 * On a bright face a line may be too dim to stand out by itself. Where it comes from a trail on one side and goes on as one
 * on the other, it is a part of it all the same.
 */

/** How many times as long as thick what leads from one to the other is at least. */
const SLENDER = 3;
/** Both ends lie apart by at least this part of its length where they meet the trail. */
const APART = 0.6;

type Ends = {first: number; last: number};

/** The pixels with which each set begins and ends along its longer side. */
const endsOf = (
  sets: readonly (Shape | null)[],
  pixels: Int32Array,
  setOf: Int32Array,
  width: number,
): (Ends | null)[] => {
  const ends = sets.map((): Ends | null => null);
  const along = (set: Shape, at: number): number =>
    set.right - set.left > set.bottom - set.top ? at % width : Math.floor(at / width);
  for (let i = 0; i < pixels.length; i++) {
    const n = setOf[i]! - 1;
    const set = sets[n];
    if (!set) continue;
    const at = pixels[i]!;
    const own = ends[n] ?? {first: at, last: at};
    ends[n] = {
      first: along(set, at) < along(set, own.first) ? at : own.first,
      last: along(set, at) > along(set, own.last) ? at : own.last,
    };
  }
  return ends;
};

type Point = {x: number; y: number};

const pointOf = (at: number, width: number): Point => ({x: at % width, y: Math.floor(at / width)});

/** The nearest place of a mask, no farther off than a gap; null where there is none. */
const nearest = (mask: Uint8Array, at: number, gap: number, width: number): Point | null => {
  const height = mask.length / width;
  const {x: cx, y: cy} = pointOf(at, width);
  let found: Point | null = null;
  let least = gap;
  for (let y = Math.max(0, Math.ceil(cy - gap)); y <= Math.min(height - 1, cy + gap); y++) {
    for (let x = Math.max(0, Math.ceil(cx - gap)); x <= Math.min(width - 1, cx + gap); x++) {
      if (mask[y * width + x] === 0) continue;
      const away = Math.hypot(x - cx, y - cy);
      if (away > least) continue;
      least = away;
      found = {x, y};
    }
  }
  return found;
};

/**
 * Which sets lead from one place of a trail to another, as thick as its line.
 * @param sets those that are asked, null for the others; `setOf` names each pixel's from 1 on
 * @param mask the trail
 * @param gap how far off an end of one may lie, in pixels
 */
export const bridgesAmong = (
  sets: readonly (Shape | null)[],
  pixels: Int32Array,
  setOf: Int32Array,
  mask: Uint8Array,
  line: Line,
  gap: number,
  width: number,
): boolean[] => {
  const slender = sets.map(set =>
    set !== null &&
    set.pixels >= LEAST_PIXELS &&
    isNear(thicknessOf(set) / line.thickness) &&
    lengthOf(set) >= SLENDER * thicknessOf(set)
      ? set
      : null,
  );
  const distance = (one: Point, other: Point): number => Math.hypot(one.x - other.x, one.y - other.y);
  // Where each begins and ends, and where the trail lies close to that.
  const meets = endsOf(slender, pixels, setOf, width).map(ends => {
    if (!ends) return null;
    const ofEnd = (at: number) => ({end: pointOf(at, width), met: nearest(mask, at, gap, width)});
    return [ofEnd(ends.first), ofEnd(ends.last)] as const;
  });
  const isBridge = meets.map((own, n) => {
    const [one, other] = own ?? [];
    return Boolean(one?.met && other?.met && distance(one.met, other.met) >= APART * lengthOf(slender[n]!));
  });
  // Two that meet between lead across together.
  const piers = meets.map((own, n) => {
    const free = own?.filter(({met}) => !met) ?? [];
    return !isBridge[n] && free.length === 1 ? {end: free[0]!.end, met: own!.find(({met}) => met)!.met!} : null;
  });
  const isHalf = piers.map((own, n) =>
    piers.some(
      (other, k) =>
        own && other && k !== n && distance(own.end, other.end) <= gap && distance(own.met, other.met) > 2 * gap,
    ),
  );
  return sets.map((_, n) => isBridge[n] === true || isHalf[n] === true);
};
