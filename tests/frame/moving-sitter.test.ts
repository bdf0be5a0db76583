import {mkdtempSync, rmSync, writeFileSync} from 'node:fs';
import {tmpdir} from 'node:os';
import path from 'node:path';
import {afterAll, describe, expect, it} from 'vitest';
import {linearToSrgb} from '../../src/frame/curve/srgb.js';
import {measureFrame} from '../../src/frame/measure.js';
import type {PlateSet} from '../../src/frame/plates.js';
import {drawnHead} from './quick-head.js';
import {
  plainRoom,
  platesIn,
  type QuickLight,
  type QuickRoom,
  type QuickShot,
  type QuickTrail,
  shootFrame,
  still,
} from './quick-room.js';

/*
 * What moves with the sitter beside the light of the flashes: the room's own light on the face, a rim that is a few pixels
 * wide, the shadow on the wall.
 */

const folder = mkdtempSync(path.join(tmpdir(), 'darkset-moving-'));
afterAll(() => rmSync(folder, {recursive: true}));

const platesOf = (room: QuickRoom): Promise<PlateSet> => platesIn(folder, room);

const read = async (room: QuickRoom, plates: PlateSet, shot: QuickShot) => {
  const file = path.join(folder, 'frame.jpg');
  writeFileSync(file, await shootFrame(room, shot));
  return measureFrame(file, plates, plates.zones);
};

const swayed = (x: number, y: number): QuickShot => ({...still, sway: {x, y, turn: 0.008, scale: 1}});

const warmLine = (points: QuickTrail['points']): QuickTrail => ({
  points,
  sigma: 0.004,
  ev: 2,
  tint: [1, 0.9, 0.7],
  dash: null,
  behind: false,
});

const rim: QuickLight = {
  id: 'C',
  tint: [1, 0.85, 0.65],
  from: {x: 0.97, y: -0.2},
  wrap: -0.8,
  level: 3,
  spill: null,
};

describe('a sitter who moved', () => {
  const inDimRoom: QuickRoom = {
    ...plainRoom,
    lights: [...plainRoom.lights, rim],
    darkLevel: 0.0012,
    darkOnHead: 0.1,
    readNoise: 0.001,
  };

  it.each([
    [-0.015, 0.012],
    [0.02, 0.004],
  ])('in a room that shows them on the dark plate: every light is found, the rim too (%f, %f)', async (x, y) => {
    const plates = await platesOf(inDimRoom);
    const {lights, trail} = await read(inDimRoom, plates, {...swayed(x, y), power: [1, 1, 1]});
    for (const light of lights) expect(light, light.id).toMatchObject({fired: true});
    for (const light of lights) expect(Math.abs(light.ev!), light.id).toBeLessThan(0.25);
    expect(trail).toBeNull();
    const without = await read(inDimRoom, plates, {...swayed(x, y), power: [1, 1, 0]});
    expect(without.lights.map(({fired}) => fired)).toEqual([true, true, false]);
  });

  const withShadow: QuickRoom = {
    ...plainRoom,
    lights: [
      {
        ...plainRoom.lights[0]!,
        spill: {x: 0.75, y: 0.4, radius: 0.3, level: 0.12},
        shadow: {x: 0.32, y: 0, moves: 1.6},
      },
      plainRoom.lights[1]!,
    ],
  };

  it.each([-0.012, 0.012])('takes the shadow on the wall along, which leaves no trail (%f)', async x => {
    const plates = await platesOf(withShadow);
    expect((await read(withShadow, plates, swayed(x, 0))).trail).toBeNull();
    // A line as bright as the wall beside the shadow is one all the same, across it.
    const trails = [
      {
        points: [
          [0.62, 0.2],
          [0.95, 0.55],
        ] as const,
        sigma: 0.004,
        ev: 0,
        tint: [0.3, 0.6, 1] as const,
        dash: null,
        behind: false,
      },
    ];
    const drawn = await read(withShadow, plates, {...swayed(x, 0), trails});
    expect(drawn.trail?.crossing).toBe(0);
    expect(drawn.trail?.coverage).toBeGreaterThan(0.05);
  });
});

describe('a sitter whom the frame cuts off', () => {
  const face = {cx: 0.5, cy: 0.74, rx: 0.17, ry: 0.28};
  // A white collar just below the frame's edge.
  const collared: QuickRoom = {
    ...plainRoom,
    face,
    head: (x, y) =>
      (y > 0.475 && Math.abs(x) < 0.4
        ? [0.9, 0.9, 0.9]
        : (drawnHead(x, y)?.map(value => value / 2) ?? null)) as ReturnType<typeof drawnHead>,
  };

  it('shows no trail where they rise into it', async () => {
    const plates = await platesOf(collared);
    const risen = swayed(0.003, -0.02);
    expect((await read(collared, plates, risen)).trail).toBeNull();
    const trails = [
      warmLine([
        [face.cx - 0.12, 0.995],
        [face.cx - 0.3, 0.6],
        [face.cx - 0.25, 0.3],
      ]),
    ];
    const drawn = await read(collared, plates, {...risen, trails});
    expect(drawn.trail?.coverage).toBeGreaterThan(0.15);
  });
});

describe('a wall that the sitter hid', () => {
  // A curtain: folds of it lie in the dark just beside where the head stood.
  const {cx, rx} = plainRoom.face;
  const curtain: QuickRoom = {
    ...plainRoom,
    lights: [{...plainRoom.lights[0]!, spill: {x: 0.5, y: 0.4, radius: 0.5, level: 0.2}}, plainRoom.lights[1]!],
    folds: x => (Math.abs(Math.abs(x - cx) - rx - 0.02) < 0.02 ? 0.12 : 1),
  };

  it.each([-0.02, 0.02])('is no trail where it comes into sight (%f)', async x => {
    const plates = await platesOf(curtain);
    expect((await read(curtain, plates, swayed(x, 0))).trail).toBeNull();
    // What is brighter than the wall beside it is a line there too.
    const behind = cx + x - Math.sign(x) * rx;
    const trails = [
      warmLine([
        [behind, 0.1],
        [behind, 0.9],
      ]),
    ];
    const drawn = await read(curtain, plates, {...swayed(x, 0), trails});
    expect(drawn.trail?.crossing).toBeGreaterThan(0.003);
    expect(drawn.trail?.coverage).toBeGreaterThan(0.3);
  });
});

describe('a wall that the camera shows as quite black', () => {
  const black: QuickRoom = {
    ...plainRoom,
    lights: [
      {...plainRoom.lights[0]!, spill: {x: 0.8, y: 0.4, radius: 0.5, level: 0.05}},
      {...plainRoom.lights[1]!, spill: {x: 0.2, y: 0.5, radius: 0.5, level: 0.04}},
    ],
    darkLevel: 0.0003,
    curve: linear => Math.max(0, (linearToSrgb(linear) - 0.02) / 0.98),
  };

  it('has not risen by many stops where the flashes’ spill alone lies on it', async () => {
    const plates = await platesOf(black);
    for (const power of [
      [1, 1],
      [1.05, 0.96],
    ]) {
      const {ambient} = await read(black, plates, {...swayed(0.004, 0.002), power});
      expect(Math.abs(ambient.riseEv!)).toBeLessThan(0.75);
      expect(ambient.side).toBeNull();
    }
  });
});
