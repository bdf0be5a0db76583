import {mkdtempSync, writeFileSync} from 'node:fs';
import path from 'node:path';
import sharp from 'sharp';
import type {Ellipse} from '../../shared/zones.js';
import {linearToSrgb} from '../../src/frame/curve/srgb.js';
import {loadPlates, type PlateSet} from '../../src/frame/plates.js';

/*
 * A quick dark room for the unit tests: a head, a wall, lights that shade them, a leak, a drawn trail, all as layers in
 * linear light, then a camera that vignettes, adds noise, bends tones and codes JPEG. What is true comes from the layers.
 */

export type Rgb = readonly [number, number, number];

export type QuickLight = {
  id: string;
  tint: Rgb;
  /** Where it comes from: x −1 the left of the picture, +1 the right; y −1 above. */
  from: {x: number; y: number};
  /** 0: only its own side is lit; 1: it reaches around. */
  wrap: number;
  /** Level of a white face straight to it, linear. */
  level: number;
  spill: {x: number; y: number; radius: number; level: number} | null;
  /** Where the head's shadow lies in the spill, from the head, fractions of the frame; how many times as far it moves. */
  shadow?: {x: number; y: number; moves: number};
};

export type QuickTrail = {
  /** Points in fractions of the frame. */
  points: readonly (readonly [number, number])[];
  /** Gaussian sigma in fractions of the frame's width. */
  sigma: number;
  /** Level of the middle of the line, EV around middle grey. */
  ev: number;
  tint: Rgb;
  /** Dash period and lit part, period in fractions of the width. */
  dash: {period: number; lit: number} | null;
  /** Passes behind the head. */
  behind: boolean;
};

export type QuickLeak = {side: 'left' | 'right' | 'top' | 'bottom' | 'even'; level: number; fall: number; tint: Rgb};

export type Albedo = (x: number, y: number) => Rgb | null;

export type QuickRoom = {
  width: number;
  height: number;
  face: Ellipse;
  /** Reflectance of the head at a point in heads from the face's centre (±0.5 high); null where there is no head. */
  head: Albedo;
  lights: QuickLight[];
  /** How much the wall reflects, by the part of the width from the left; all of it alike if this is missing. */
  folds?: (x: number) => number;
  /** How much of the room's own light and of a leak the wall reflects, likewise. */
  bars?: (x: number) => number;
  /** Level of the dark wall, linear. */
  darkLevel: number;
  /** Level of a white face in the dark room's own light, if it differs from the wall's. */
  darkOnHead?: number;
  vignette: number;
  /** Linear light 0..1 to a code value 0..1. */
  curve: (linear: number) => number;
  /** Standard deviation of read noise, linear, and electrons at full scale. */
  readNoise: number;
  fullWell: number;
  hotPixels: number;
  quality: number;
};

export type QuickShot = {
  /** Power of each light against its plate. */
  power: number[];
  /** Sway of the head in fractions of the frame, turn in radians, scale. */
  sway: {x: number; y: number; turn: number; scale: number};
  /** Whether everything moved, not the head alone. */
  wholeFrame: boolean;
  trails: QuickTrail[];
  leak: QuickLeak | null;
  /** A second pop of every light with the head moved by this, fractions of the frame. */
  second: {x: number; y: number} | null;
};

export const still: QuickShot = {
  power: [1, 1],
  sway: {x: 0, y: 0, turn: 0, scale: 1},
  wholeFrame: false,
  trails: [],
  leak: null,
  second: null,
};

/** A small seeded generator (mulberry32). */
export const numbers = (seed: number): (() => number) => {
  let state = seed | 0;
  return () => {
    state = (state + 0x6d2b79f5) | 0;
    let t = Math.imul(state ^ (state >>> 15), 1 | state);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
};

const step = (low: number, high: number, value: number): number => {
  const t = Math.min(1, Math.max(0, (value - low) / (high - low)));
  return t * t * (3 - 2 * t);
};

/** A head of our own: skin, hair, brows, eyes, nose, mouth, all a little uneven. */
export const drawnHead: Albedo = (x, y) => {
  const r = Math.hypot(x / 0.38, y / 0.5);
  if (r > 1) return null;
  const hair = step(0.02, -0.02, y + 0.2 + 0.15 * Math.cos(x * 8)) + step(0.85, 0.95, r) * (y < 0.1 ? 1 : 0);
  const dot = (cx: number, cy: number, rx: number, ry: number): number =>
    1 - step(0.8, 1.1, Math.hypot((x - cx) / rx, (y - cy) / ry));
  const dark =
    0.75 * (dot(-0.15, -0.03, 0.06, 0.025) + dot(0.15, -0.03, 0.06, 0.025)) +
    0.5 * (dot(-0.15, -0.1, 0.08, 0.015) + dot(0.15, -0.1, 0.08, 0.015)) +
    0.25 * (dot(0, 0.09, 0.05, 0.03) + dot(0, 0.24, 0.1, 0.025));
  const grain = 0.92 + 0.08 * Math.sin(x * 63 + Math.sin(y * 41) * 2) * Math.sin(y * 57 + x * 9);
  const skin = grain * (1 - Math.min(0.9, dark));
  const strand = 0.5 + 0.5 * Math.sin(x * 160 + y * 30) * Math.sin(y * 21);
  const mix = Math.min(1, hair);
  return [
    skin * 0.62 * (1 - mix) + mix * (0.06 + 0.08 * strand),
    skin * 0.46 * (1 - mix) + mix * (0.045 + 0.06 * strand),
    skin * 0.38 * (1 - mix) + mix * (0.035 + 0.05 * strand),
  ];
};

type Layer = Float32Array;

const shading = (room: QuickRoom, light: QuickLight, hx: number, hy: number): number => {
  const halfWidth = (room.face.rx * room.width) / (2 * room.face.ry * room.height);
  const nx = Math.max(-1, Math.min(1, hx / (halfWidth * 1.05)));
  const ny = Math.max(-1, Math.min(1, hy / 0.55));
  const nz = Math.sqrt(Math.max(0.05, 1 - nx * nx - ny * ny));
  const {x, y} = light.from;
  const z = Math.sqrt(Math.max(0.05, 1 - x * x - y * y));
  return Math.max(0, (nx * x + ny * y + nz * z + light.wrap) / (1 + light.wrap));
};

/** One light alone, without the dark room's own light. */
const lightLayer = (room: QuickRoom, light: QuickLight, shot: QuickShot, extra: {x: number; y: number}): Layer => {
  const {width, height, face} = room;
  const layer = new Float32Array(width * height * 3);
  const head = 2 * face.ry * height;
  const cos = Math.cos(-shot.sway.turn) / shot.sway.scale;
  const sin = Math.sin(-shot.sway.turn) / shot.sway.scale;
  const moveX = (shot.sway.x + extra.x) * width;
  const moveY = (shot.sway.y + extra.y) * height;
  const room2 = shot.wholeFrame ? {x: moveX, y: moveY} : {x: 0, y: 0};
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      const at = (y * width + x) * 3;
      const px = (x + 0.5 - moveX - face.cx * width) / head;
      const py = (y + 0.5 - moveY - face.cy * height) / head;
      const hx = px * cos - py * sin;
      const hy = px * sin + py * cos;
      const albedo = room.head(hx, hy);
      const body = albedo === null && hy > 0.5 && Math.abs(hx) < 0.28 + 0.9 * (hy - 0.5);
      if (albedo) {
        const value = light.level * shading(room, light, hx, hy);
        for (let c = 0; c < 3; c++) layer[at + c] = value * light.tint[c]! * albedo[c]!;
      } else if (body) {
        const value = 0.25 * light.level * Math.max(0.05, 0.5 + hx * light.from.x) * (0.08 + 0.03 * Math.sin(hx * 40));
        for (let c = 0; c < 3; c++) layer[at + c] = value * light.tint[c]!;
      } else if (light.spill) {
        const {spill} = light;
        const d = Math.hypot((x - room2.x) / width - spill.x, (((y - room2.y) / height - spill.y) * height) / width);
        const isShaded = light.shadow && isInShadow(room, light.shadow, x, y, moveX, moveY);
        const reflected = room.folds ? room.folds(x / width) : 1;
        const value = isShaded ? 0 : reflected * spill.level * Math.exp(-((d / spill.radius) ** 2));
        for (let c = 0; c < 3; c++) layer[at + c] = value * light.tint[c]!;
      }
    }
  }
  return layer;
};

const isInShadow = (
  {width, height, face}: QuickRoom,
  shadow: {x: number; y: number; moves: number},
  x: number,
  y: number,
  moveX: number,
  moveY: number,
): boolean => {
  const dx = (x - shadow.moves * moveX) / width - face.cx - shadow.x;
  const dy = (y - shadow.moves * moveY) / height - face.cy - shadow.y;
  return (dx / face.rx) ** 2 + (dy / face.ry) ** 2 < 1.3;
};

/** The dark room's own light on the head: as if from the front, on every reflectance alike. */
const addDarkOnHead = (room: QuickRoom, shot: QuickShot, level: number, into: Layer): void => {
  const front: QuickLight = {id: '', tint: [1, 1, 1], from: {x: 0, y: 0}, wrap: 0.5, level, spill: null};
  const layer = lightLayer(room, front, shot, {x: 0, y: 0});
  for (let at = 0; at < into.length; at++) if (layer[at]! > 0) into[at] = layer[at]!;
};

const add = (into: Layer, layer: Layer, gain: number): void => {
  for (let at = 0; at < into.length; at++) into[at] = into[at]! + gain * layer[at]!;
};

const leakLayer = (room: QuickRoom, leak: QuickLeak): Layer => {
  const layer = new Float32Array(room.width * room.height * 3);
  for (let y = 0; y < room.height; y++) {
    for (let x = 0; x < room.width; x++) {
      const u = x / room.width;
      const v = y / room.height;
      const far = {left: u, right: 1 - u, top: v, bottom: 1 - v, even: 0}[leak.side];
      const value = leak.level * Math.exp(-far / leak.fall);
      for (let c = 0; c < 3; c++) layer[(y * room.width + x) * 3 + c] = value * leak.tint[c]!;
    }
  }
  return layer;
};

const isHead = (room: QuickRoom, shot: QuickShot, x: number, y: number): boolean => {
  const head = 2 * room.face.ry * room.height;
  const px = (x + 0.5 - (shot.sway.x + room.face.cx) * room.width) / head;
  const py = (y + 0.5 - (shot.sway.y + room.face.cy) * room.height) / head;
  return room.head(px, py) !== null;
};

/** The trail's own light. */
export const trailLayer = (room: QuickRoom, shot: QuickShot): Layer => {
  const {width, height} = room;
  const layer = new Float32Array(width * height * 3);
  for (const trail of shot.trails) {
    const own = new Float32Array(width * height);
    const sigma = trail.sigma * width;
    const peak = 0.18 * 2 ** trail.ev;
    const reach = Math.ceil(3.2 * sigma);
    let along = 0;
    for (let n = 1; n < trail.points.length; n++) {
      const [x0, y0] = trail.points[n - 1]!;
      const [x1, y1] = trail.points[n]!;
      const length = Math.hypot((x1 - x0) * width, (y1 - y0) * height);
      const steps = Math.max(1, Math.ceil(length / Math.max(0.3, sigma / 3)));
      for (let s = 0; s < steps; s++) {
        const t = s / steps;
        const at = along + length * t;
        if (trail.dash && (at / (trail.dash.period * width)) % 1 > trail.dash.lit) continue;
        const px = (x0 + (x1 - x0) * t) * width;
        const py = (y0 + (y1 - y0) * t) * height;
        for (let y = Math.max(0, Math.floor(py - reach)); y < Math.min(height, py + reach); y++) {
          for (let x = Math.max(0, Math.floor(px - reach)); x < Math.min(width, px + reach); x++) {
            const value = peak * Math.exp(-((x + 0.5 - px) ** 2 + (y + 0.5 - py) ** 2) / (2 * sigma * sigma));
            if (value > own[y * width + x]!) own[y * width + x] = value;
          }
        }
      }
      along += length;
    }
    for (let y = 0; y < height; y++) {
      for (let x = 0; x < width; x++) {
        const value = own[y * width + x]!;
        if (value === 0 || (trail.behind && isHead(room, shot, x, y))) continue;
        for (let c = 0; c < 3; c++) {
          const at = (y * width + x) * 3 + c;
          layer[at] = layer[at]! + value * trail.tint[c]!;
        }
      }
    }
  }
  return layer;
};

const reflectRoomLight = (room: QuickRoom, bars: (x: number) => number, shot: QuickShot, layer: Layer): void => {
  const leak = shot.leak && leakLayer(room, shot.leak);
  for (let y = 0, at = 0; y < room.height; y++) {
    for (let x = 0; x < room.width; x++, at += 3) {
      const more = bars(x / room.width) - 1;
      if (more === 0 || isHead(room, shot, x, y)) continue;
      for (let c = at; c < at + 3; c++) layer[c] = layer[c]! + more * (room.darkLevel + (leak?.[c] ?? 0));
    }
  }
};

/** What the sensor gets, linear, before vignetting. */
const shotLayer = (room: QuickRoom, shot: QuickShot): Layer => {
  const layer = new Float32Array(room.width * room.height * 3).fill(room.darkLevel);
  if (room.darkOnHead) addDarkOnHead(room, shot, room.darkOnHead, layer);
  room.lights.forEach((light, at) => {
    const power = shot.power[at] ?? 0;
    if (power > 0) add(layer, lightLayer(room, light, shot, {x: 0, y: 0}), power);
    if (power > 0 && shot.second) add(layer, lightLayer(room, light, shot, shot.second), power);
  });
  if (shot.leak) add(layer, leakLayer(room, shot.leak), 1);
  if (room.bars) reflectRoomLight(room, room.bars, shot, layer);
  if (shot.trails.length > 0) add(layer, trailLayer(room, shot), 1);
  return layer;
};

/** The camera's JPEG, decoded again. */
export const developed = async (room: QuickRoom, layer: Layer, seed: number): Promise<Buffer> => {
  const {width, height} = room;
  const random = numbers(seed);
  const body = numbers(99);
  const light = Float32Array.from(layer);
  for (let n = 0; n < room.hotPixels; n++) {
    const at = Math.floor(body() * width * height) * 3 + Math.floor(body() * 3);
    light[at] = light[at]! + 0.05 + body();
  }
  const codes = Buffer.alloc(light.length);
  for (let at = 0, pixel = 0; at < light.length; pixel++) {
    const dx = (pixel % width) / width - 0.5;
    const dy = Math.floor(pixel / width) / height - 0.5;
    const gain = 1 - room.vignette * 2 * (dx * dx + dy * dy);
    for (let c = 0; c < 3; c++, at++) {
      const value = Math.min(1, light[at]! * gain);
      const sigma = Math.sqrt(value / room.fullWell + room.readNoise ** 2);
      const noise = (random() + random() + random() + random() - 2) * 1.732;
      codes[at] = Math.round(255 * room.curve(Math.min(1, Math.max(0, value + sigma * noise))));
    }
  }
  return sharp(codes, {raw: {width, height, channels: 3}})
    .jpeg({quality: room.quality})
    .toBuffer();
};

export type QuickPlates = {dark: Buffer; lights: {id: string; jpeg: Buffer}[]; sitter: Buffer};

/** Dark, each light alone, and all lights: the plates of this room. */
export const shootPlates = async (room: QuickRoom): Promise<QuickPlates> => {
  const none = {...still, power: []};
  const dark = await developed(room, shotLayer(room, none), 1);
  const lights = [];
  for (const [at, light] of room.lights.entries()) {
    const power = room.lights.map((_, n) => (n === at ? 1 : 0));
    lights.push({id: light.id, jpeg: await developed(room, shotLayer(room, {...none, power}), 2 + at)});
  }
  const sitter = await developed(room, shotLayer(room, {...none, power: room.lights.map(() => 1)}), 50);
  return {dark, lights, sitter};
};

export const shootFrame = (room: QuickRoom, shot: QuickShot, seed = 100): Promise<Buffer> =>
  developed(room, shotLayer(room, shot), seed);

export type QuickTruth = {coverage: number; crossing: number; headGap: number | null};

/** The trail by the published definitions, from its own layer. */
export const trailTruth = (room: QuickRoom, shot: QuickShot, moved: boolean): QuickTruth => {
  const {width, height, face} = room;
  const own = trailLayer(room, shot);
  const seen = new Set<number>();
  let inside = 0;
  let ellipse = 0;
  let gap = Number.POSITIVE_INFINITY;
  const shiftX = moved ? shot.sway.x : 0;
  const shiftY = moved ? shot.sway.y : 0;
  for (let y = 0, at = 0; y < height; y++) {
    for (let x = 0; x < width; x++, at += 3) {
      const lum = 0.2126 * own[at]! + 0.7152 * own[at + 1]! + 0.0722 * own[at + 2]!;
      const dx = (x + 0.5) / width - face.cx - shiftX;
      const dy = (y + 0.5) / height - face.cy - shiftY;
      const isIn = (dx / face.rx) ** 2 + (dy / face.ry) ** 2 <= 1;
      if (isIn) ellipse++;
      if (lum <= 0.0225) continue;
      if (isIn) inside++;
      else seen.add(Math.floor((((Math.atan2(dy * height, dx * width) * 180) / Math.PI + 360) % 360) / 5));
      if (Math.abs(dx) <= face.rx && dy < -face.ry) gap = Math.min(gap, (-dy - face.ry) / (2 * face.ry));
    }
  }
  return {
    coverage: seen.size / 72,
    crossing: inside / ellipse,
    headGap: Number.isFinite(gap) ? gap : null,
  };
};

/** A plain room to begin from. */
export const plainRoom: QuickRoom = {
  width: 900,
  height: 600,
  face: {cx: 0.5, cy: 0.42, rx: 0.115, ry: 0.225},
  head: drawnHead,
  lights: [
    {
      id: 'A',
      tint: [1, 0.8, 0.55],
      from: {x: -0.7, y: -0.3},
      wrap: 0.2,
      level: 0.9,
      spill: {x: 0.85, y: 0.4, radius: 0.15, level: 0.01},
    },
    {
      id: 'B',
      tint: [1, 0.9, 0.75],
      from: {x: 0.85, y: -0.1},
      wrap: 0.1,
      level: 0.7,
      spill: {x: 0.15, y: 0.5, radius: 0.15, level: 0.008},
    },
  ],
  darkLevel: 0.0006,
  vignette: 0.3,
  curve: linearToSrgb,
  readNoise: 0.0015,
  fullWell: 20_000,
  hotPixels: 40,
  quality: 90,
};

/** A room's plates but the sitter's, written to a folder of their own within `folder`, and read from there. */
export const platesIn = async (folder: string, room: QuickRoom): Promise<PlateSet> => {
  const place = mkdtempSync(path.join(folder, 'plates-'));
  const {dark, lights} = await shootPlates(room);
  writeFileSync(path.join(place, 'dark.jpg'), dark);
  for (const {id, jpeg} of lights) writeFileSync(path.join(place, `light-${id}.jpg`), jpeg);
  writeFileSync(path.join(place, 'zones.json'), JSON.stringify({face: room.face}));
  return loadPlates(place);
};
