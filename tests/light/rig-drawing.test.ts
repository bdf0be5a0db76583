import fc from 'fast-check';
import sharp from 'sharp';
import {describe, expect, it} from 'vitest';
import {create} from 'xmlbuilder2';
import type {Rig} from '../../shared/rig.js';
import {pointAt} from '../../src/light/geometry.js';
import {drawRigSvg} from '../../src/light/rig-drawing-svg.js';
import {drawRigText} from '../../src/light/rig-drawing-text.js';
import {printAngle} from '../../src/light/rig-words.js';
import {setPlan} from '../../src/light/set-plan.js';
import {testRig} from './test-rig.js';

const hostile = 'A\u001b[31m & <b>"quoted"</b> ]]> \u202e\ufffe \ud800 \u0000';
const rigNamed = (name: string): Rig => ({
  ...testRig,
  name: name.slice(0, 80),
  notes: `${name}\n${name}`,
  lights: testRig.lights.map(light => ({
    ...light,
    name: name.slice(0, 80),
    gel: {name: name.slice(0, 80), miredShift: 10, lossStops: 0.1},
  })),
});

const places = fc.record({
  distanceMetres: fc.integer({min: 30, max: 600}).map(centimetres => centimetres / 100),
  angleDegrees: fc.integer({min: -180, max: 180}),
  heightMetres: fc.integer({min: 0, max: 400}).map(centimetres => centimetres / 100),
  aimOffDegrees: fc.integer({min: -60, max: 60}),
  on: fc.boolean(),
});
const rigs = fc.array(places, {maxLength: 5}).map(
  (list): Rig => ({
    ...testRig,
    lights: list.map((place, index) => ({...testRig.lights[0]!, ...place, id: String.fromCharCode(65 + index)})),
  }),
);

/** Centre of the circle that is drawn before a light's letter. */
const circleOf = (svg: string, id: string): {x: number; y: number} => {
  const match = new RegExp(`<circle cx="([-\\d.]+)" cy="([-\\d.]+)" r="13"[^>]*/>\\n<text[^>]*>${id}</text>`).exec(svg);
  if (!match) throw new Error(`no light ${id} in the drawing`);
  return {x: Number(match[1]), y: Number(match[2])};
};

describe('the set drawn as text', () => {
  it('has the back wall above, the mark in the middle, the camera below, and each light on its side', () => {
    const lines = drawRigText(testRig, 78, 20).split('\n');
    const row = (mark: string): number => lines.findIndex(line => line.includes(mark));
    const column = (mark: string): number => lines[row(mark)]!.indexOf(mark);
    expect(row('─')).toBeLessThan(row('×'));
    expect(row('×')).toBeLessThan(row('▲'));
    expect(column('A')).toBeLessThan(column('×'));
    expect(column('B')).toBeGreaterThan(column('×'));
  });

  it('tells each light in words below, with distance, angle, height, power and spot', () => {
    const text = drawRigText(testRig, 100, 20);
    expect(text).toContain('A  1.2 m, 48° to the left, 1.9 m high, 1/4, spot 10 cm, soft edge 22 cm');
  });

  it('stays within its columns and rows, whatever the rig', () => {
    fc.assert(
      fc.property(rigs, fc.integer({min: 1, max: 120}), fc.integer({min: 1, max: 50}), (rig, columns, rows) => {
        const lines = drawRigText(rig, columns, rows).split('\n');
        expect(lines.length).toBeLessThanOrEqual(rows);
        for (const line of lines) expect(Array.from(line).length).toBeLessThanOrEqual(columns);
      }),
    );
  });

  it('lets no escape sequence through', () => {
    expect(drawRigText(rigNamed(hostile), 80, 24)).not.toMatch(/[\u0000-\u0009\u000b-\u001f\u007f-\u009f\u202e]/);
  });

  it('shows a light that is off by its small letter, without a beam', () => {
    const off = {...testRig, lights: testRig.lights.map(light => ({...light, on: false}))};
    const drawing = drawRigText(off, 78, 20).split('× mark')[0]!;
    expect(drawing).toContain('a');
    expect(drawing).not.toContain('·');
  });

  it('names angles as one stands at the camera', () => {
    expect([0, -48, 76, 160, -130, 180].map(printAngle)).toEqual([
      'straight from the camera',
      '48° to the left',
      '76° to the right',
      '160° to the right, from behind',
      '130° to the left, from behind',
      'straight from behind',
    ]);
  });
});

describe('the set drawn as SVG', () => {
  it('is to scale: lights stand at their angle and distance from the mark, one metre 100 units', () => {
    const svg = drawRigSvg(testRig);
    const mark = /<circle cx="([\d.]+)" cy="([\d.]+)" r="8"/.exec(svg)!;
    for (const light of testRig.lights) {
      const along = Math.sqrt(light.distanceMetres ** 2 - (light.heightMetres - testRig.mark.eyeHeightMetres) ** 2);
      const at = pointAt(light.angleDegrees, along);
      const drawn = circleOf(svg, light.id);
      expect(drawn.x - Number(mark[1])).toBeCloseTo(at.x * 100, 1);
      expect(Number(mark[2]) - drawn.y).toBeCloseTo(at.y * 100, 1);
    }
  });

  it('says the distances and angles that it draws', () => {
    const svg = drawRigSvg(testRig);
    for (const words of [
      '>48°<',
      '>76°<',
      '>1.2 m<',
      '>1.1 m<',
      'back wall, 1.6 m from the mark',
      'camera, 2 m from the mark',
      '1 m',
      'zoom 50',
      'long snoot 220',
    ]) {
      expect(svg).toContain(words);
    }
  });

  it('draws the spot on the face at its true width', () => {
    const spot = setPlan(testRig).lights[1]!.spot!.fullMetres! * 100;
    const lines = [
      ...drawRigSvg(testRig).matchAll(
        /<line x1="([\d.]+)" y1="([\d.]+)" x2="([\d.]+)" y2="([\d.]+)" stroke="#b8700c"/g,
      ),
    ];
    const lengths = lines.map(([, x1, y1, x2, y2]) => Math.hypot(Number(x2) - Number(x1), Number(y2) - Number(y1)));
    expect(lengths.some(length => Math.abs(length - spot) < 0.1)).toBe(true);
  });

  it('is well-formed and free of control characters whatever its texts hold', () => {
    fc.assert(
      fc.property(fc.string({unit: 'binary', maxLength: 60}), text => {
        const svg = drawRigSvg(rigNamed(text + hostile));
        expect(() => create(svg)).not.toThrow();
        expect(svg).not.toMatch(/[\u0000-\u0008\u000b-\u001f\u007f-\u009f\ufffe\uffff]/);
        expect(svg.isWellFormed()).toBe(true);
      }),
      {numRuns: 40},
    );
  });

  it('is drawn by a renderer, with hostile names as with ours', async () => {
    for (const rig of [testRig, rigNamed(hostile), {...testRig, lights: []}]) {
      const {width, height} = await sharp(Buffer.from(drawRigSvg(rig)))
        .png()
        .toBuffer({resolveWithObject: true})
        .then(({info}) => info);
      expect(width).toBeGreaterThan(300);
      expect(height).toBeGreaterThan(300);
    }
  });

  it('draws every rig, also lights that cannot stand where they are said to', () => {
    fc.assert(
      fc.property(rigs, rig => {
        const svg = drawRigSvg(rig);
        expect(svg).not.toMatch(/NaN|Infinity|undefined/);
        for (const light of rig.lights) circleOf(svg, light.id);
      }),
    );
  });
});
