import {describe, expect, it} from 'vitest';
import {linearToSrgb} from '../../src/frame/curve/srgb.js';
import {plainTable} from '../../src/frame/curve/tone-curve.js';
import type {DecodedFrame} from '../../src/frame/decode/decode.js';
import type {PixelEllipse} from '../../src/frame/pixel-ellipse.js';
import {type PixelLight, pixelLight} from '../../src/frame/pixel-light.js';
import {preparePlates} from '../../src/frame/prepared-plates.js';
import {regionMap} from '../../src/frame/regions.js';
import {placementOf} from '../../src/frame/register/pose.js';
import type {NewLightGrid} from '../../src/frame/room/new-light-grid.js';
import type {WorkImage} from '../../src/frame/work-image.js';

/*
 * A jaw leaves wall to be seen within the face ellipse. There the wall stands still when the head moves, pattern and all;
 * what is drawn across the face is nothing the wall explains.
 */

const [width, height] = [400, 300];
const face: PixelEllipse = {cx: 200, cy: 150, rx: 60, ry: 75};
const MOVED = 6;
const SEAM = {x: 158, top: 150, bottom: 180};
const LINE = 130;

const isSeam = (x: number, y: number): boolean => Math.abs(x - SEAM.x) <= 1 && y >= SEAM.top && y <= SEAM.bottom;
/** A narrow head, so that the seam beside it is seen within the ellipse. */
const isHead = (x: number, y: number, dx: number): boolean =>
  ((x - dx - face.cx) / 36) ** 2 + ((y - face.cy) / 70) ** 2 <= 1;

const pictureOf = (light: (x: number, y: number) => number): WorkImage => {
  const plane = Float32Array.from(
    {length: width * height},
    (_, at) => 255 * linearToSrgb(light(at % width, Math.floor(at / width))),
  );
  return {width, height, r: plane, g: plane, b: plane};
};
const scene = (dx: number, drawn: number) =>
  pictureOf((x, y) => {
    if (isHead(x, y, dx)) return 0.2 + (Math.abs(y - LINE) <= 2 ? drawn : 0);
    return isSeam(x, y) ? 0.12 : 0.01;
  });
const coded = ({r}: WorkImage) => ({
  width,
  height,
  depth: 8 as const,
  rgb: Uint8Array.from({length: 3 * width * height}, (_, i) => Math.round(r[Math.floor(i / 3)]!)),
});
const plate = (id: string): DecodedFrame => ({
  label: id,
  width,
  height,
  image: coded(scene(0, 0)),
  exif: {takenAt: null, exposure: null},
  preview: false,
});

const ellipse = {cx: face.cx / width, cy: face.cy / height, rx: face.rx / width, ry: face.ry / height};
const plates = preparePlates(
  {dark: null, lights: [{id: 'A', frame: plate('A')}], sitter: null, zones: null},
  width,
  height,
  ellipse,
);
const none: NewLightGrid = {
  step: 4,
  columns: width / 4 + 2,
  light: new Float32Array((width / 4 + 2) * (height / 4 + 2)),
};
const every = Int32Array.from({length: width * height}, (_, at) => at);

/** What the plates explain of a frame whose head has moved to the right, with so much light drawn across the face. */
const explained = (drawn: number): PixelLight => {
  const here = {...face, cx: face.cx + MOVED};
  const placement = placementOf({centre: {x: face.cx, y: face.cy}, dx: MOVED, dy: 0, turn: 0, scale: 1});
  return pixelLight(
    scene(MOVED, drawn),
    plates,
    {
      lights: [{index: 0, power: 1, placement}],
      inDark: null,
      newLight: none,
      curve: plainTable,
      regions: regionMap(here, width, height),
      face: here,
    },
    every,
  );
};

describe('beside a narrow jaw', () => {
  it('a seam of the wall is the wall’s', () => {
    const {isWall, rest} = explained(0);
    for (let y = SEAM.top + 2; y < SEAM.bottom - 2; y++) {
      const at = y * width + SEAM.x;
      expect(isWall[at]).toBe(1);
      expect(Math.abs(rest[3 * at]!)).toBeLessThan(0.005);
    }
  });

  it('a line drawn across the face is its own light', () => {
    const {rest} = explained(0.15);
    for (let x = face.cx - 20; x < face.cx + 20; x++) expect(rest[3 * (LINE * width + x)]!).toBeCloseTo(0.15, 2);
  });

  it('what the wall would leave is told where it may be seen, and nowhere within the face', () => {
    const {wallRest, wallExpected} = explained(0.15);
    const within = face.cy * width + face.cx;
    expect(wallRest[within]).toBe(Number.POSITIVE_INFINITY);
    const beyond = 40 * width + 40;
    expect(wallExpected[beyond]!).toBeCloseTo(0.01, 3);
    expect(Math.abs(wallRest[beyond]!)).toBeLessThan(0.002);
  });
});
