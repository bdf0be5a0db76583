import type {Camera, HotPixel} from './camera.js';
import {clothOf, heldOutCurves, heldOutHeads, openCurves, openHeads, wallOf, wands} from './palette.js';
import {planFrames} from './plan-frames.js';
import {planLights} from './plan-lights.js';
import {type Random, seeded} from './random.js';
import type {RoomRecipe, WallRecipe} from './recipe.js';

export type RoomSet = 'open' | 'held-out';

/** How many rooms a set has. */
export const roomCounts: Record<RoomSet, number> = {open: 44, 'held-out': 36};

const sizes: [long: number, short: number][] = [
  [1200, 800],
  [1500, 1000],
  [1280, 853],
  [960, 720],
  [1350, 900],
  [600, 400],
  [1800, 1200],
];

const openWalls: WallRecipe['kind'][] = ['plain', 'plaster', 'brick', 'curtain', 'plain'];
const heldOutWalls: WallRecipe['kind'][] = ['panels', 'gravel', 'plain', 'grass', 'plaster'];

const hotPixel = (random: Random): HotPixel => ({
  x: random.next(),
  y: random.next(),
  channel: random.integer(0, 2),
  level: random.chance(0.3) ? random.between(0.3, 1) : random.between(0.02, 0.3),
});

export const newHotPixels = (random: Random, count: number): HotPixel[] =>
  Array.from({length: count}, () => hotPixel(random));

const planCamera = (index: number, set: RoomSet, random: Random, width: number): Camera => {
  const curveList = set === 'open' ? openCurves : index % 2 === 0 ? heldOutCurves : openCurves;
  const balance = random.chance(0.5) ? 0 : random.between(-0.14, 0.14);
  const strange = set === 'held-out';
  return {
    curve: curveList[(set === 'open' ? index : Math.floor(index / 2)) % curveList.length]!,
    whiteBalance: [1 + balance, 1, 1 - balance],
    vignette: random.chance(0.25) ? 0 : random.between(0.1, 0.6),
    blurSigma: random.between(0.4, 1.3) * (width / 1500),
    bloom: random.chance(0.3) ? random.between(0.01, 0.04) : 0,
    fullWell: random.between(6_000, 60_000),
    readNoise: random.between(0.0003, 0.0025),
    noiseSmear: strange && random.chance(0.4) ? random.between(0.5, 0.9) : 0,
    hotPixels: newHotPixels(random, random.integer(0, 60)),
    jpegQuality: random.integer(80, 95),
    chroma: random.chance(0.5) ? '4:2:0' : '4:4:4',
    orientation: random.chance(0.75) ? 1 : random.pick([3, 6, 8] as const),
    profile: strange && index % 9 === 4 ? 'p3' : 'srgb',
    enlarge: 1,
  };
};

/**
 * The recipe of one room. What makes rooms differ (heads, curves, sizes, walls, number of lights) goes round in steps of
 * different length, so that a set holds every kind in many combinations; the rest is drawn from the room's own seed.
 * @param longEdge a smaller size than the plan's own, for quick tests; the head is then never far
 */
export const planRoom = (set: RoomSet, index: number, longEdge?: number): RoomRecipe => {
  const seed = `${set}/${set === 'open' ? 'lantern' : 'keeper'}-${index + 1}`;
  const random = seeded(seed);
  const planned = sizes[index % sizes.length]!;
  const long = longEdge ?? planned[0];
  const short = Math.round((long * planned[1]) / planned[0]);
  const portrait = random.chance(0.35);
  const huge = longEdge ? false : set === 'open' ? index === 20 || index === 37 : index === 10;
  const width = portrait ? short : long;
  const height = portrait ? long : short;
  const heads = set === 'open' ? openHeads : index % 3 === 2 ? openHeads : heldOutHeads;
  const head = heads[(set === 'open' ? index : Math.floor(index / 3) * 2 + (index % 3)) % heads.length]!(
    random.fork('head'),
  );
  // From far to near: the face ellipse takes 8 to 35 % of the frame's height.
  const headFraction = Math.max(longEdge ? 0.18 : 0, 0.08 + 0.27 * (((index * 7) % 12) / 11));
  const reach = headFraction * height * 1.2;
  const at = {
    x: random.chance(0.5) ? random.between(0.44, 0.56) : random.between(0.3, 0.7),
    y: Math.max(random.between(0.3, 0.5), reach / height),
  };
  const skin = head.kind === 'drawn' ? head.build.skin : ([0.4, 0.26, 0.2] as const);
  const lights = planLights(index, random.fork('lights'), at, headFraction);
  const room: RoomRecipe = {
    name: `${set}-${String(index + 1).padStart(2, '0')}`,
    seed,
    width,
    height,
    head,
    body: {
      shoulders: random.between(0.9, 1.25),
      cloth: clothOf(random),
      pattern: random.pick(['plain', 'plain', 'stripes', 'checks']),
      neck: [skin[0] * 0.85, skin[1] * 0.85, skin[2] * 0.85],
      seed: random.integer(1, 1_000_000),
    },
    headFraction,
    at,
    zoneSlack: {x: random.between(-0.02, 0.02), y: random.between(-0.02, 0.02), scale: random.between(0.98, 1.06)},
    wall: wallOf(random, set === 'open' ? openWalls : heldOutWalls),
    lights,
    ambient: {
      ev: random.between(-7.2, -4.2),
      tint: random.chance(0.5) ? [1, 1, 1] : random.pick(wands.slice(0, 2)),
      lean: random.between(-0.4, 0.4),
    },
    flashSigma: random.chance(0.3) ? 0 : random.between(0.02, 0.07),
    plateSway: random.chance(0.6) ? 0 : random.between(0.001, 0.004),
    camera: planCamera(index, set, random.fork('camera'), width),
    frames: [],
  };
  if (huge) room.camera = {...room.camera, enlarge: 4, orientation: 1, noiseSmear: 0};
  room.frames = planFrames(set, index, random.fork('frames'), room).slice(0, huge ? 4 : undefined);
  return room;
};
