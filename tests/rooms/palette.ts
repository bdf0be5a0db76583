import type {CurveName} from './camera.js';
import type {Colour, HeadBuild} from './drawn-head.js';
import type {Random} from './random.js';
import type {HeadRecipe, WallRecipe} from './recipe.js';
import {ofLuminanceOne} from './trail.js';

/** Linear reflectance of skin from fair to dark, and of hair from light to dark. */
const skins: Colour[] = [
  [0.62, 0.44, 0.36],
  [0.48, 0.31, 0.23],
  [0.33, 0.2, 0.13],
  [0.18, 0.1, 0.065],
  [0.09, 0.05, 0.035],
];
const hairs: Colour[] = [
  [0.5, 0.42, 0.28],
  [0.32, 0.32, 0.33],
  [0.2, 0.11, 0.05],
  [0.05, 0.035, 0.03],
  [0.25, 0.07, 0.03],
];
const cloths: Colour[] = [
  [0.03, 0.03, 0.035],
  [0.1, 0.12, 0.2],
  [0.25, 0.05, 0.05],
  [0.4, 0.38, 0.34],
  [0.08, 0.14, 0.08],
];

export const clothOf = (random: Random): Colour => random.pick(cloths);

const drawn = (name: string, random: Random, build: Partial<HeadBuild>): HeadRecipe => ({
  kind: 'drawn',
  name,
  build: {
    faceWidth: random.between(0.7, 0.8),
    jaw: random.between(0.15, 0.35),
    skin: random.pick(skins),
    hair: random.pick(hairs),
    hairStyle: 'short',
    hat: 'none',
    hatColour: clothOf(random),
    beard: false,
    glasses: false,
    turned: random.between(-0.04, 0.04),
    seed: random.integer(1, 1_000_000),
    ...build,
  },
});

/** Heads of the rooms that anybody may tune on. */
export const openHeads: ((random: Random) => HeadRecipe)[] = [
  random => ({kind: 'photograph', name: 'astronaut', mirrored: random.chance(0.4), reflect: random.between(0.6, 1)}),
  random => drawn('round, fair', random, {faceWidth: 0.86, jaw: 0.05, skin: skins[0]!, hair: hairs[0]!}),
  random => drawn('long, dark hair', random, {faceWidth: 0.66, hairStyle: 'long', hair: hairs[3]!}),
  random => drawn('beard', random, {beard: true, hair: hairs[2]!}),
  random => ({kind: 'photograph', name: 'cat', mirrored: random.chance(0.5), reflect: random.between(0.8, 1.2)}),
  random => drawn('glasses', random, {glasses: true}),
  random => drawn('hat with a brim', random, {hat: 'brim'}),
  random => drawn('dark skin', random, {skin: skins[4]!, hair: hairs[3]!, hairStyle: 'curly'}),
  random => drawn('bald', random, {hairStyle: 'bald', skin: skins[1]!}),
  random => ({kind: 'photograph', name: 'cup', mirrored: random.chance(0.5), reflect: random.between(0.7, 1)}),
  random => drawn('fair hair, dark skin', random, {skin: skins[3]!, hair: hairs[0]!, hairStyle: 'short'}),
];

/** Heads that only the rooms kept aside have, beside the open ones. */
export const heldOutHeads: ((random: Random) => HeadRecipe)[] = [
  random => ({kind: 'photograph', name: 'raccoon', mirrored: random.chance(0.5), reflect: random.between(0.7, 1.1)}),
  random => ({kind: 'photograph', name: 'profile', mirrored: random.chance(0.5), reflect: random.between(0.7, 1)}),
  random => drawn('pointed hat, beard', random, {hat: 'pointed', beard: true, hair: hairs[1]!}),
  random => drawn('bun, turned', random, {hairStyle: 'bun', turned: 0.1}),
  random => drawn('cap, glasses, dark skin', random, {hat: 'cap', glasses: true, skin: skins[4]!}),
  random => drawn('narrow, long fair hair', random, {faceWidth: 0.6, jaw: 0.45, hairStyle: 'long', hair: hairs[0]!}),
];

export const openCurves: CurveName[] = ['none', 'mild S', 'strong S', 'filmic', 'lifted', 'base'];
export const heldOutCurves: CurveName[] = ['gamma', 'crushed', 'steep'];

const wallColours: Colour[] = [
  [1, 1, 1],
  [1.1, 1, 0.85],
  [0.85, 1, 1.15],
  [1.3, 0.9, 0.7],
];

export const wallOf = (random: Random, kinds: readonly WallRecipe['kind'][]): WallRecipe => ({
  kind: random.pick(kinds),
  colour: ofLuminanceOne(random.pick(wallColours)),
  depth: random.between(0.15, 0.7),
});

const of = (r: number, g: number, b: number): Colour => ofLuminanceOne([r, g, b]);

/** Colours of gelled flashes, warm first. */
export const gels: Colour[] = [
  of(1.5, 0.95, 0.45),
  of(1.3, 0.97, 0.65),
  of(1, 1, 1),
  of(1.8, 0.75, 0.35),
  of(0.7, 0.95, 1.6),
];

/** Colours of painting lights: warm, cold, then LED colours. */
export const wands: Colour[] = [
  of(1.4, 1, 0.55),
  of(0.9, 1, 1.2),
  of(1, 1, 1),
  of(2, 0.45, 0.3),
  of(0.3, 1.15, 0.45),
  of(0.45, 0.75, 2.2),
  of(1.5, 0.5, 1.5),
];

/** Colours of light that leaks in: tungsten, daylight, a sodium-like street lamp, a screen. */
export const leakTints: Colour[] = [of(1.6, 0.95, 0.45), of(0.8, 1, 1.3), of(1.9, 0.8, 0.15), of(1, 1, 1)];
