import {step} from './quick-head.js';
import type {Layer, QuickLeak, QuickLight, QuickRoom, QuickShot} from './quick-room.js';
import {isHead} from './quick-trail.js';

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
export const lightLayer = (
  room: QuickRoom,
  light: QuickLight,
  shot: QuickShot,
  extra: {x: number; y: number},
): Layer => {
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
        const value = light.level * shading(room, light, hx, hy) * inPool(room, light, x, y);
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

const inPool = ({width, height}: QuickRoom, {pool}: QuickLight, x: number, y: number): number =>
  pool
    ? 1 - step(0.94, 1.06, Math.hypot(x / width - pool.x, ((y / height - pool.y) * height) / width) / pool.radius)
    : 1;

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
export const addDarkOnHead = (room: QuickRoom, shot: QuickShot, level: number, into: Layer): void => {
  const front: QuickLight = {id: '', tint: [1, 1, 1], from: {x: 0, y: 0}, wrap: 0.5, level, spill: null};
  const layer = lightLayer(room, front, shot, {x: 0, y: 0});
  for (let at = 0; at < into.length; at++) if (layer[at]! > 0) into[at] = layer[at]!;
};

/** A leak alone, on everything alike. */
export const leakLayer = (room: QuickRoom, leak: QuickLeak): Layer => {
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

/** Adds what is reflected more of the room's own light and of a leak, off the head. */
export const reflectRoomLight = (
  room: QuickRoom,
  reflects: NonNullable<QuickRoom['reflects']>,
  shot: QuickShot,
  layer: Layer,
): void => {
  const leak = shot.leak && leakLayer(room, shot.leak);
  for (let y = 0, at = 0; y < room.height; y++) {
    for (let x = 0; x < room.width; x++, at += 3) {
      const more = reflects(x / room.width, y / room.height);
      if ((more.own === 1 && more.leak === 1) || isHead(room, shot, x, y)) continue;
      for (let c = at; c < at + 3; c++) {
        layer[c] = layer[c]! + (more.own - 1) * room.darkLevel + (more.leak - 1) * (leak?.[c] ?? 0);
      }
    }
  }
};
