import {inflateSync} from 'node:zlib';
import fc from 'fast-check';
import {describe, expect, it} from 'vitest';
import type {Picture} from '../../src/frame/picture.js';
import {beside} from '../../src/screen/picture/beside.js';
import {directPicture} from '../../src/screen/picture/direct.js';
import {halfBlocks, nearestOf256} from '../../src/screen/picture/half-blocks.js';
import {spillLabels, withMarks} from '../../src/screen/picture/marks.js';
import {relit} from '../../src/screen/picture/relight.js';
import {sixelPicture} from '../../src/screen/picture/sixel.js';
import {nightPicture} from '../../src/screen/picture/tone.js';
import {createTalk, type TerminalAbility} from '../../src/screen/terminal/talk.js';
import {emulate} from './emulate.js';
import {somePicture, someReading} from './fake-session.js';

const grey = (width: number, height: number, value: number): Picture => ({
  width,
  height,
  rgb: new Uint8Array(3 * width * height).fill(value),
});

const pixels: Picture = {width: 2, height: 2, rgb: Uint8Array.from([255, 0, 0, 0, 255, 0, 0, 0, 255, 9, 9, 9])};

/** Colours of the 256-colour table as xterm defines it: the cube's levels and the greys. */
const colourOf256 = (index: number): [number, number, number] => {
  if (index >= 232) return [8 + 10 * (index - 232), 8 + 10 * (index - 232), 8 + 10 * (index - 232)];
  const level = (step: number): number => (step === 0 ? 0 : 55 + 40 * step);
  const cube = index - 16;
  return [level(Math.floor(cube / 36)), level(Math.floor(cube / 6) % 6), level(cube % 6)];
};

describe('half blocks', () => {
  it('puts two pixels into a cell, the upper one as the sign and the lower one behind it', () => {
    expect(halfBlocks(pixels, 'all', false)).toEqual([
      '\u001b[0m\u001b[38;2;255;0;0;48;2;0;0;255m▀\u001b[38;2;0;255;0;48;2;9;9;9m▀\u001b[0m',
    ]);
  });

  it('says a colour once where neighbours share it', () => {
    expect(halfBlocks(grey(30, 2, 90), 'all', false)[0]!.match(/48;2/g)).toHaveLength(1);
  });

  it('finds the nearest of 256 colours', () => {
    fc.assert(
      fc.property(fc.nat(255), fc.nat(255), fc.nat(255), (red, green, blue) => {
        const far = (index: number): number =>
          colourOf256(index).reduce((sum, value, at) => sum + (value - [red, green, blue][at]!) ** 2, 0);
        const best = Math.min(...Array.from({length: 240}, (_, index) => far(index + 16)));
        expect(far(nearestOf256(red, green, blue))).toBe(best);
      }),
    );
  });

  it('is shades without escape sequences where there are no colours', () => {
    const rows = halfBlocks(somePicture(30, 20), 'none', false);
    expect(rows.join('')).toMatch(/^[ ░▒▓█]+$/);
    expect(rows.join('')).toContain('▓');
    expect(rows.every(row => row.length === 30)).toBe(true);
  });

  it.each(['all', 'many', 'sixteen', 'none'] as const)('is as wide as it says with %s colours', async depth => {
    const screen = emulate(60, 20);
    for (const row of halfBlocks(somePicture(30, 20), depth, true, [{column: 3, row: 2, text: 'B'}])) {
      screen.write(`${row}|\r\n`);
    }
    const ends = (await screen.rows()).filter(row => row.trim() !== '').map(row => row.indexOf('|'));
    expect(ends).toEqual(new Array(10).fill(30));
    expect((await screen.rows())[2]![3]).toBe('B');
  });
});

describe('the picture at night', () => {
  it('holds red alone and nothing bright', () => {
    const {rgb} = nightPicture(grey(4, 4, 255));
    for (let offset = 0; offset < rgb.length; offset += 3) {
      expect(rgb[offset]!).toBeLessThan(215);
      expect([rgb[offset + 1], rgb[offset + 2]]).toEqual([0, 0]);
    }
  });
});

describe('a sharper picture', () => {
  it('sends its pixels whole, in pieces of at most 4096 signs, by the APC graphics protocol', () => {
    let seed = 1;
    const next = (): number => {
      seed = (seed * 48_271) % 2_147_483_647;
      return seed % 256;
    };
    const noise = {width: 90, height: 60, rgb: Uint8Array.from({length: 3 * 90 * 60}, next)};
    const {draw} = directPicture(noise, 30, 10);
    const pieces = [...draw.matchAll(/\u001b_G([^;]*);([^\u001b]*)\u001b\\/g)];
    expect(pieces.map(piece => piece[0]).join('')).toBe(draw);
    expect(pieces.length).toBeGreaterThan(1);
    expect(pieces.every(piece => piece[2]!.length <= 4096)).toBe(true);
    expect(pieces.map(piece => /m=(\d)/.exec(piece[1]!)![1])).toEqual([...pieces.slice(1).map(() => '1'), '0']);
    const data = Buffer.from(pieces.map(piece => piece[2]).join(''), 'base64');
    expect(new Uint8Array(inflateSync(data))).toEqual(noise.rgb);
    expect(pieces[0]![1]).toContain('s=90,v=60');
    expect(pieces[0]![1]).toContain('c=30,r=10');
  });

  /** Reads sixels as the VT340 manual (EK-VT3XX-TP, chapter 14) describes them. */
  const readSixels = (text: string): Picture => {
    const head = /^\u001bP0;1;0q"1;1;(\d+);(\d+)/.exec(text)!;
    const [width, height] = [Number(head[1]), Number(head[2])];
    const rgb = new Uint8Array(3 * width * height);
    const palette = new Map<number, number[]>();
    let [x, top, colour] = [0, 0, 0];
    const body = text.slice(head[0].length, -2);
    for (const [, index, definition, repeat, sign] of body.matchAll(
      /#(\d+)(?:;2;(\d+;\d+;\d+))?|(?:!(\d+))?([?-~$-])/g,
    )) {
      if (index !== undefined) {
        if (definition !== undefined)
          palette.set(
            Number(index),
            definition.split(';').map(part => (Number(part) * 255) / 100),
          );
        else colour = Number(index);
        continue;
      }
      if (sign === '$') x = 0;
      else if (sign === '-') {
        x = 0;
        top += 6;
      } else {
        const bits = sign!.charCodeAt(0) - 63;
        for (let count = Number(repeat ?? 1); count > 0; count--, x++) {
          for (let row = 0; row < 6; row++) {
            if (bits & (1 << row)) rgb.set(palette.get(colour)!, 3 * ((top + row) * width + x));
          }
        }
      }
    }
    return {width, height, rgb};
  };

  it.each([
    ['in colours', false],
    ['in red', true],
  ])('comes back out of its sixels %s, to a step of the palette', (_name, red) => {
    const source = red ? nightPicture(somePicture(45, 31)) : somePicture(45, 31);
    const shown = readSixels(sixelPicture(source, red).draw);
    expect([shown.width, shown.height]).toEqual([source.width, source.height]);
    const worst = source.rgb.reduce((most, value, at) => Math.max(most, Math.abs(value - shown.rgb[at]!)), 0);
    expect(worst).toBeLessThanOrEqual(red ? 6 : 52);
  });
});

describe('marks over a picture', () => {
  const zones = {face: {cx: 0.5, cy: 0.5, rx: 0.25, ry: 0.3}};
  const isMarked = (picture: Picture, x: number, y: number): boolean => picture.rgb[3 * (y * picture.width + x)]! > 128;

  it('outlines the head where the ellipse says', () => {
    const drawn = withMarks(grey(100, 100, 0), {zones, reading: null});
    expect(
      [isMarked(drawn, 75, 50), isMarked(drawn, 25, 50), isMarked(drawn, 50, 20), isMarked(drawn, 50, 80)].filter(
        Boolean,
      ).length,
    ).toBeGreaterThanOrEqual(3);
    expect(isMarked(drawn, 50, 50)).toBe(false);
    expect(isMarked(drawn, 90, 50)).toBe(false);
  });

  it('leaves the picture that it was given as it was', () => {
    const source = grey(20, 20, 0);
    withMarks(source, {zones, reading: someReading()});
    expect(Math.max(...source.rgb)).toBe(0);
  });

  it('ticks only directions in which the trail passes', () => {
    const directions = Array.from({length: 72}, (_, index) => index === 0);
    const reading = {...someReading(), trail: {...someReading().trail!, directions}};
    const plainOutline = withMarks(grey(100, 100, 0), {zones, reading: null});
    const drawn = withMarks(grey(100, 100, 0), {zones, reading});
    const added = Array.from({length: 100 * 100}, (_, at) => at).filter(
      at => isMarked(drawn, at % 100, Math.floor(at / 100)) && !isMarked(plainOutline, at % 100, Math.floor(at / 100)),
    );
    expect(added).toHaveLength(1);
    expect(added[0]! % 100).toBeGreaterThan(75);
  });

  it("puts a light's letter where its spill is strongest, and none where there is next to nothing", () => {
    const reading = {
      ...someReading(),
      spill: [
        {light: 'B', levelEv: -4, at: {x: 0.1, y: 0.5}, share: 0.9},
        {light: 'A', levelEv: -11, at: {x: 0.9, y: 0.5}, share: 0.1},
      ],
    };
    expect(spillLabels({zones, reading}, 40, 20)).toEqual([{column: 4, row: 10, text: 'B'}]);
  });

  it('lays two pictures side by side', () => {
    const both = beside(grey(2, 2, 10), grey(2, 1, 20), 1);
    expect([both.width, both.height]).toEqual([5, 2]);
    expect([...both.rgb].filter((_, at) => at % 3 === 0)).toEqual([10, 10, 0, 20, 20, 10, 10, 0, 0, 0]);
  });
});

describe('what a terminal says that it can do', () => {
  const ask = (...answers: string[]): {asked: string[]; known: TerminalAbility | null} => {
    const asked: string[] = [];
    let known: TerminalAbility | null = null;
    const talk = createTalk(
      text => asked.push(text),
      ability => {
        known = ability;
      },
    );
    talk.ask();
    for (const answer of answers) talk.answer(answer);
    return {asked, known};
  };

  it('is asked one question that every terminal knows, and no more of an old one', () => {
    const {asked, known} = ask('\u001b[?6c');
    expect(asked).toEqual(['\u001b[c']);
    expect(known).toEqual({sharp: 'none', cell: null, keyEvents: false, background: null});
  });

  it('is believed when it answers that it takes pixels', () => {
    const {known} = ask('\u001b[?62;c', '\u001b[?0u', '\u001b[6;20;10t', '\u001b_Gi=31;OK\u001b\\', '\u001b[?62;c');
    expect(known).toMatchObject({sharp: 'direct', cell: {width: 10, height: 20}, keyEvents: true});
  });

  it('is sent sixels when it names them and the size of its cells', () => {
    const {known} = ask('\u001b[?64;1;4c', '\u001b[6;18;9t', '\u001b[?64;1;4c');
    expect(known).toMatchObject({sharp: 'sixel', keyEvents: false});
  });

  it('gets half blocks when it does not tell the size of its cells, or refuses', () => {
    expect(ask('\u001b[?64;4c', '\u001b[?64;4c').known?.sharp).toBe('none');
    expect(ask('\u001b[?64c', '\u001b[6;18;9t', '\u001b_Gi=31;ENOTSUP\u001b\\', '\u001b[?64c').known?.sharp).toBe(
      'none',
    );
  });
});

describe('the next frame, foretold from the plates', () => {
  const one = (value: number): Picture => ({width: 1, height: 1, rgb: new Uint8Array(3).fill(value)});
  /** sRGB of IEC 61966-2-1, written again here. */
  const linear = (code: number): number => {
    const value = code / 255;
    return value <= 0.04045 ? value / 12.92 : ((value + 0.055) / 1.055) ** 2.4;
  };

  it('is the dark plate and each light, as they are when nothing changes', () => {
    const dark = {picture: one(0), ev: 0};
    expect(relit(dark, [{picture: one(118), ev: 0}]).rgb[0]).toBe(118);
    const both = relit(dark, [
      {picture: one(118), ev: 0},
      {picture: one(118), ev: 0},
    ]).rgb[0]!;
    expect(linear(both)).toBeCloseTo(2 * linear(118), 2);
  });

  it('follows each light by its stops, and leaves a light out that will not fire', () => {
    const dark = {picture: one(0), ev: 0};
    expect(linear(relit(dark, [{picture: one(118), ev: 1}]).rgb[0]!)).toBeCloseTo(2 * linear(118), 2);
    expect(linear(relit(dark, [{picture: one(118), ev: -2}]).rgb[0]!)).toBeCloseTo(linear(118) / 4, 2);
    expect(relit(dark, [{picture: one(118), ev: null}]).rgb[0]).toBe(0);
  });

  it("scales the room's own light apart from the flashes'", () => {
    const room = relit({picture: one(60), ev: -1}, [{picture: one(60), ev: 3}]).rgb[0]!;
    expect(linear(room)).toBeCloseTo(linear(60) / 2, 2);
  });

  it('clips where a frame would', () => {
    expect(relit({picture: one(0), ev: 0}, [{picture: one(200), ev: 4}]).rgb[0]).toBe(255);
  });
});
