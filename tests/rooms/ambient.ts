import type {Colour} from './drawn-head.js';
import {darkness, type LightMap, linearOf} from './light-map.js';
import type {Leak, Posed, Scene} from './scene.js';

/** How a leak falls off over the frame, 1 at its source. */
const leakProfile = (leak: Leak, u: number, v: number): number => {
  if (leak.side === 'even') return 1;
  const distance = {left: u, right: 1 - u, top: v, bottom: 1 - v}[leak.side];
  const across = leak.side === 'left' || leak.side === 'right' ? v : u;
  if (leak.profile === 'ramp') return 1 - 0.85 * distance;
  if (leak.profile === 'fall') return 0.06 + Math.exp(-distance * 2.6);
  return 0.1 + Math.exp(-((distance - 0.04) ** 2) / 0.012) + 0.55 * Math.exp(-distance * 3) * (0.8 + 0.2 * across);
};

const sideways: Record<Leak['side'], Colour> = {
  left: [-0.85, 0, 0.5],
  right: [0.85, 0, 0.5],
  top: [0, -0.85, 0.5],
  bottom: [0, 0.85, 0.5],
  even: [0, 0, 1],
};

const addBroad = (
  into: LightMap,
  scene: Scene,
  posed: Posed,
  tint: Colour,
  from: Colour,
  level: (u: number, v: number) => number,
): void => {
  const {width, height, wall} = scene;
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      const i = y * width + x;
      const value = level(x / width, y / height);
      const cover = posed.cover[i]!;
      const n = posed.normal;
      const facing = Math.max(0, n[i * 3]! * from[0] + n[i * 3 + 1]! * from[1] + n[i * 3 + 2]! * from[2]);
      for (let c = 0; c < 3; c++) {
        const reflected =
          (1 - cover) * wall.data[i * 3 + c]! + cover * posed.albedo[i * 3 + c]! * 2 * (0.25 + 0.75 * facing);
        into.data[i * 3 + c]! += value * tint[c]! * reflected;
      }
    }
  }
};

/** The room's own light: what the dark plate holds. */
export const ambientLight = (scene: Scene, posed: Posed): LightMap => {
  const map = darkness(scene.width, scene.height);
  const {ev, tint, lean} = scene.ambient;
  addBroad(map, scene, posed, tint, [0, -0.5, 0.86], u => linearOf(ev) * (1 + lean * (u - 0.5)));
  return map;
};

/** A leak's light, as strong as its wanted rise asks. */
export const leakLight = (scene: Scene, posed: Posed, leak: Leak): LightMap => {
  const map = darkness(scene.width, scene.height);
  let sum = 0;
  let count = 0;
  for (let i = 0; i < scene.wallMask.length; i += 7) {
    if (scene.wallMask[i] === 0) continue;
    sum += leakProfile(leak, (i % scene.width) / scene.width, Math.floor(i / scene.width) / scene.height);
    count += 1;
  }
  const gain = (linearOf(scene.ambient.ev) * (2 ** leak.riseEv - 1)) / Math.max(1e-9, sum / Math.max(1, count));
  addBroad(map, scene, posed, leak.tint, sideways[leak.side], (u, v) => gain * leakProfile(leak, u, v));
  return map;
};
