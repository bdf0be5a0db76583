import {execFileSync} from 'node:child_process';
import {existsSync} from 'node:fs';
import {join} from 'node:path';
import sharp from 'sharp';
import {decodeSrgb} from './light-map.js';
import {coverOf, dome, type Part} from './sitter.js';

/*
 * Real photographs from Debian packages, found at run time and never copied into the project:
 * python3-skimage: astronaut (NASA, public domain), chelsea, coffee, camera, brick, gravel, grass (CC0).
 * python3-scipy: face.dat, a raccoon (public domain), 1024×768 RGB packed with bzip2.
 */
const skimageData = '/usr/lib/python3/dist-packages/skimage/data';
const scipyMisc = '/usr/lib/python3/dist-packages/scipy/misc';

export const photographPackages = 'python3-skimage python3-scipy bzip2';

export type PhotographName = 'astronaut' | 'cat' | 'cup' | 'profile' | 'raccoon';
export type TextureName = 'brick' | 'gravel' | 'grass';

/** Photograph with a head in it; the ellipse of the head in its pixels. */
const heads: Record<PhotographName, {file: string; cx: number; cy: number; rx: number; ry: number}> = {
  astronaut: {file: join(skimageData, 'astronaut.png'), cx: 227, cy: 103, rx: 74, ry: 90},
  cat: {file: join(skimageData, 'chelsea.png'), cx: 212, cy: 150, rx: 150, ry: 148},
  cup: {file: join(skimageData, 'coffee.png'), cx: 290, cy: 150, rx: 122, ry: 138},
  profile: {file: join(skimageData, 'camera.png'), cx: 214, cy: 130, rx: 60, ry: 69},
  raccoon: {file: join(scipyMisc, 'face.dat'), cx: 675, cy: 265, rx: 225, ry: 235},
};

const textures: Record<TextureName, string> = {
  brick: join(skimageData, 'brick.png'),
  gravel: join(skimageData, 'gravel.png'),
  grass: join(skimageData, 'grass.png'),
};

/** Files that are not on this machine; empty when every photograph is there. */
export const missingPhotographs = (): string[] =>
  [...Object.values(heads).map(head => head.file), ...Object.values(textures)].filter(file => !existsSync(file));

type Raster = {width: number; height: number; rgb: Uint8Array};

const read = async (file: string): Promise<Raster> => {
  if (file.endsWith('.dat')) {
    const rgb = execFileSync('bzip2', ['-dc', file], {maxBuffer: 2 ** 26});
    return {width: 1024, height: 768, rgb};
  }
  const {data, info} = await sharp(file).removeAlpha().toColourspace('srgb').raw().toBuffer({resolveWithObject: true});
  return {width: info.width, height: info.height, rgb: data};
};

const linearCode = Float32Array.from({length: 256}, (_, code) => decodeSrgb(code / 255));

/** Bilinear sample of a raster in linear light, edges repeated. */
const sampler = ({width, height, rgb}: Raster): ((x: number, y: number, channel: number) => number) => {
  return (x, y, channel) => {
    const cx = Math.min(width - 1.001, Math.max(0, x));
    const cy = Math.min(height - 1.001, Math.max(0, y));
    const x0 = Math.floor(cx);
    const y0 = Math.floor(cy);
    const at = (dx: number, dy: number): number => linearCode[rgb[((y0 + dy) * width + x0 + dx) * 3 + channel]!]!;
    const fx = cx - x0;
    const fy = cy - y0;
    return (at(0, 0) * (1 - fx) + at(1, 0) * fx) * (1 - fy) + (at(0, 1) * (1 - fx) + at(1, 1) * fx) * fy;
  };
};

/** A real head as a part: cut out by a soft mask of ours, its form a dome. `reflect` scales its lightness. */
export const photographHead = async (name: PhotographName, mirrored: boolean, reflect: number): Promise<Part> => {
  const head = heads[name];
  const sample = sampler(await read(head.file));
  const scale = head.ry / 0.5;
  const halfWidth = head.rx / scale;
  return {
    left: -halfWidth * 1.15,
    right: halfWidth * 1.15,
    top: -0.58,
    bottom: 0.58,
    touch(x, y, out) {
      const level = (Math.abs(x / halfWidth) ** 2.2 + Math.abs(y / 0.5) ** 2.2) ** (1 / 2.2) - 1;
      out.cover = coverOf(level, 0.06);
      out.z = dome(level, halfWidth * 0.9);
      const px = head.cx + (mirrored ? -x : x) * scale;
      const py = head.cy + y * scale;
      out.r = sample(px, py, 0) * reflect;
      out.g = sample(px, py, 1) * reflect;
      out.b = sample(px, py, 2) * reflect;
    },
  };
};

/** The ellipse a user would set around such a head, in heads from its centre. */
export const photographEllipse = (name: PhotographName): {cx: number; cy: number; rx: number; ry: number} => ({
  cx: 0,
  cy: 0,
  rx: (heads[name].rx / heads[name].ry) * 0.52,
  ry: 0.52,
});

/** A wall's texture as relative lightness around 1. */
export const photographTexture = async (name: TextureName): Promise<(x: number, y: number) => number> => {
  const raster = await read(textures[name]);
  const sample = sampler(raster);
  let mean = 0;
  for (let i = 0; i < raster.rgb.length; i += 3) mean += linearCode[raster.rgb[i]!]! / (raster.rgb.length / 3);
  const wrap = (value: number, size: number): number => ((value % size) + size) % size;
  return (x, y) => sample(wrap(x, raster.width), wrap(y, raster.height), 0) / mean;
};
