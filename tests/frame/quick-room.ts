import {mkdtempSync, writeFileSync} from 'node:fs';
import path from 'node:path';
import sharp from 'sharp';
import type {Ellipse} from '../../shared/zones.js';
import {linearToSrgb} from '../../src/frame/curve/srgb.js';
import {loadPlates, type PlateSet} from '../../src/frame/plates.js';
import {drawnHead} from './quick-head.js';
import {addDarkOnHead, leakLayer, lightLayer, reflectRoomLight} from './quick-light.js';
import {numbers} from './quick-numbers.js';
import {trailLayer} from './quick-trail.js';

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
  /** The snoot's pool, fractions of the frame, radius of the width: it stays where it is while the head moves through it. */
  pool?: {x: number; y: number; radius: number};
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

/** Linear light, three values a pixel. */
export type Layer = Float32Array;

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
  /** How much of the room's own light, and of a leak, all but the head reflects at a place, by parts of width and height. */
  reflects?: (x: number, y: number) => {own: number; leak: number};
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

const add = (into: Layer, layer: Layer, gain: number): void => {
  for (let at = 0; at < into.length; at++) into[at] = into[at]! + gain * layer[at]!;
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
  if (room.reflects) reflectRoomLight(room, room.reflects, shot, layer);
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
