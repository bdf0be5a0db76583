import type {Colour} from './drawn-head.js';
import {gels} from './palette.js';
import type {Random} from './random.js';
import type {Light, Patch} from './scene.js';

const unit = ([x, y, z]: Colour): Colour => {
  const length = Math.hypot(x, y, z);
  return [x / length, y / length, z / length];
};

/** Places a light may stand: key from a side, rim from behind, from above, from below, from the front. */
const stands: Colour[] = [
  [-0.8, -0.3, 0.5],
  [0.85, -0.2, 0.4],
  [0.1, -0.9, 0.35],
  [-0.75, -0.2, -0.35],
  [0.8, -0.35, -0.3],
  [0.15, -0.15, 0.95],
  [-0.3, 0.75, 0.5],
];

const patchesOf = (random: Random, direction: Colour, at: {x: number; y: number}, head: number): Patch[] => {
  if (random.chance(0.25)) return [];
  // A flash spills on the side away from it; a wide one reaches the near side too.
  const away = direction[0] > 0 ? -1 : 1;
  return Array.from({length: random.integer(1, 2)}, (_, i) => {
    const side = i === 0 ? away : -away;
    const room = side > 0 ? 1 - at.x : at.x;
    const aside = Math.min(room - 0.05, head * random.between(1.1, 1.6) + random.between(0.05, 0.25));
    return {
      x: at.x + side * Math.max(0.1, aside),
      y: random.between(0.15, 0.7),
      rx: random.between(0.12, 0.4),
      ry: random.between(0.12, 0.4),
      ev: random.between(-5.5, -2) - i * 1.2,
      edge: random.chance(0.6) ? 2 : random.between(0.3, 0.9),
    };
  });
};

/** One to four flashes from different places, so that each leaves a picture of its own. */
export const planLights = (
  index: number,
  random: Random,
  at: {x: number; y: number},
  headFraction: number,
): Light[] => {
  const count = [2, 2, 1, 3, 2, 4, 2, 3][index % 8]!;
  const places = random.shuffle(stands);
  // At least one light that lights the face from the front half.
  const first = places.find(place => place[2] > 0.3)!;
  const chosen = [first, ...places.filter(place => place !== first)].slice(0, count);
  return chosen.map((place, i): Light => {
    const direction = unit([
      place[0] + random.between(-0.15, 0.15),
      place[1] + random.between(-0.15, 0.15),
      place[2] + random.between(-0.08, 0.15),
    ]);
    const gradient = direction[2] > 0.1 && Math.hypot(direction[0], direction[1]) > 0.4 && random.chance(0.3);
    return {
      id: 'ABCD'[i]!,
      tint: i === 0 || random.chance(0.5) ? random.pick(gels.slice(0, 2)) : random.pick(gels),
      direction,
      form: gradient ? 'gradient' : 'lambert',
      wrap: random.between(0.02, 0.45),
      spot: random.chance(0.6)
        ? {
            x: random.between(-0.2, 0.2),
            y: random.between(-0.2, 0.2),
            radius: random.between(0.45, 1.1),
            edge: random.between(0.15, 0.9),
          }
        : null,
      faceEv: random.between(-1.3, 0.9),
      patches: patchesOf(random.fork(`patches ${i}`), direction, at, headFraction),
      shadow: random.chance(0.5),
    };
  });
};
