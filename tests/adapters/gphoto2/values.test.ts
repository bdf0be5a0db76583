import fc from 'fast-check';
import {describe, expect, it} from 'vitest';
import type {Setting} from '../../../adapters/gphoto2/messages.js';
import {
  apertureOf,
  focusModeOf,
  formatOf,
  frameKindOf,
  isoOf,
  nearest,
  numberOf,
  percentOf,
  shutterOf,
  stopsOf,
} from '../../../adapters/gphoto2/values.js';

const setting = (partial: Partial<Setting>): Setting => ({
  name: 'x',
  type: 'choice',
  readOnly: false,
  value: null,
  choices: [],
  range: null,
  ...partial,
});

// The forms are those that the drivers of libgphoto2 2.5.30 print (camlibs/ptp2/config.c).
describe('values as drivers print them', () => {
  it.each([
    ['8.0000s', 8],
    ['0.0013s', 1 / 800],
    ['0.0003s', 1 / 3200],
    ['0.0167s', 1 / 60],
    ['0.2500s', 1 / 4],
    ['1/125', 1 / 125],
    ['30', 30],
    ['1.6', 1.6],
    ['1 3/10', 1.3],
    ['10/25', 0.4],
    ['Bulb', 'bulb'],
    ['bulb', 'bulb'],
    ['Time', 'bulb'],
    ['auto', null],
    ['', null],
    ['4294967295.0000s', null],
  ])('the shutter time %s', (text, expected) => {
    const read = shutterOf(text);
    if (typeof expected === 'number') expect(read).toBeCloseTo(expected, 9);
    else expect(read).toBe(expected);
  });

  it.each([
    ['f/8', 8],
    ['f/5.6', 5.6],
    ['11', 11],
    ['implicit auto', null],
    ['f/0', null],
  ])('the aperture %s', (text, expected) => expect(apertureOf(text)).toBe(expected));

  it.each([
    ['100', 100],
    ['25600', 25_600],
    ['Auto', null],
    ['-1', null],
  ])('the ISO %s', (text, expected) => expect(isoOf(text)).toBe(expected));

  it.each([
    ['87%', 87],
    ['100%', 100],
    ['0%', 0],
    ['50', 50],
    ['broken', null],
    ['255%', null],
    ['Low', null],
  ])('the battery %s', (text, expected) => expect(percentOf(text)).toBe(expected));

  it.each([
    ['JPEG Fine', 'jpeg'],
    ['Large Fine JPEG', 'jpeg'],
    ['Extra Fine', 'jpeg'],
    ['RAW', 'raw'],
    ['cRAW', 'raw'],
    ['NEF (Raw)', 'raw'],
    ['NEF+Fine', 'raw+jpeg'],
    ['RAW + Large Fine JPEG', 'raw+jpeg'],
    ['RAW+JPEG (Std)', 'raw+jpeg'],
    ['Large Fine JPEG+RAW', 'raw+jpeg'],
    ['TIFF (RGB)', 'other'],
    ['HEIF (Fine)', 'other'],
    ['Unknown value 0007', 'unknown'],
    ['', 'unknown'],
  ])('the format %s', (text, expected) => expect(formatOf(text)).toBe(expected));

  it.each([
    ['Manual', 'manual'],
    ['MF (fixed)', 'manual'],
    ['Off', 'manual'],
    ['Automatic', 'auto'],
    ['AF-S', 'auto'],
    ['One Shot', 'auto'],
    ['On', 'auto'],
    ['Undefined', 'unknown'],
  ])('the focus mode %s', (text, expected) => expect(focusModeOf(text)).toBe(expected));

  it.each([
    ['IMG_0001.JPG', '', 'jpeg'],
    ['img.jpeg', '', 'jpeg'],
    ['DSC_0001.NEF', '', 'raw'],
    ['a.CR3', 'application/x-unknown', 'raw'],
    ['noending', 'image/jpeg', 'jpeg'],
    ['x.bin', 'image/x-raw', 'raw'],
    ['clip.MOV', 'video/quicktime', 'other'],
    ['trick.JPG/../x', '', 'other'],
  ])('the file %s of kind %s', (name, mime, expected) => expect(frameKindOf(name, mime)).toBe(expected));

  it('whatever they are, reading them ends in a number, a word or nothing', () => {
    fc.assert(
      fc.property(fc.string({unit: 'binary'}), text => {
        for (const read of [shutterOf, apertureOf, isoOf, percentOf]) {
          const value = read(text);
          if (typeof value === 'number') expect(Number.isFinite(value)).toBe(true);
        }
        formatOf(text);
        focusModeOf(text);
        frameKindOf(text, text);
      }),
    );
  });
});

describe('choosing a value', () => {
  const thirds = ['f/7.1', 'f/8', 'f/9'].map(text => ({value: text, is: apertureOf(text)!}));

  it('takes the nearest in stops, and says whether it counts as the same', () => {
    expect(nearest(thirds, 8, 2)).toEqual({stop: {value: 'f/8', is: 8}, near: true});
    expect(nearest(thirds, 8.3, 2)).toMatchObject({stop: {value: 'f/8'}, near: true});
    expect(nearest(thirds, 16, 2)).toMatchObject({stop: {value: 'f/9'}, near: false});
    expect(nearest([], 8, 2)).toBeNull();
  });

  it('on a dial of thirds something near is always there', () => {
    fc.assert(
      fc.property(fc.double({min: 100, max: 1600, noNaN: true}), wanted => {
        const stops = Array.from({length: 13}, (_, index) => ({value: index, is: 100 * 2 ** (index / 3)}));
        expect(nearest(stops, wanted, 1)?.near).toBe(true);
      }),
    );
  });

  it('a range offers what is wanted, on its own steps and inside its ends', () => {
    const range = setting({type: 'range', value: 8, range: {low: 2, high: 22, step: 0.5}});
    expect(stopsOf(range, apertureOf, 8.2)).toEqual([{value: 8, is: 8}]);
    expect(stopsOf(range, apertureOf, 45)).toEqual([{value: 22, is: 22}]);
    expect(numberOf(range, apertureOf)).toBe(8);
  });

  it('words among the choices are left out', () => {
    const dial = setting({value: 'Bulb', choices: ['Bulb', '30', '1/2', 'auto']});
    expect(stopsOf(dial, shutterOf, 8).map(stop => stop.is)).toEqual([30, 0.5]);
    expect(numberOf(dial, shutterOf)).toBe('bulb');
  });
});
