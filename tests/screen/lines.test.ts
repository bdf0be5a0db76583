import fc from 'fast-check';
import {describe, expect, it} from 'vitest';
import {cellsOf, cut, wrapText} from '../../src/screen/lines.js';

const text = fc
  .array(fc.constantFrom('a', 'word', ' ', '漢字', 'é', 'e\u0301', '−4.8', 'averyverylongword', '😀'), {maxLength: 30})
  .map(parts => parts.join(''));

describe('lines', () => {
  it('counts the cells of narrow, wide and combining signs', () => {
    expect([cellsOf('abc'), cellsOf('漢字'), cellsOf('e\u0301'), cellsOf('−4.8 EV'), cellsOf('😀')]).toEqual([
      3, 4, 1, 7, 2,
    ]);
  });

  it('breaks between words, and a word only where it is longer than a line', () => {
    expect(wrapText('lower B one stop', 8)).toEqual(['lower B', 'one stop']);
    expect(wrapText('a verylongword b', 6)).toEqual(['a', 'verylo', 'ngword', 'b']);
  });

  it('leaves a text that fits as it is, with its spaces', () => {
    expect(wrapText('  –    two', 12)).toEqual(['  –    two']);
  });

  it('ends in an ellipsis where there are not enough lines', () => {
    expect(wrapText('one two three four', 5, 2)).toEqual(['one', 'two…']);
  });

  it('is never wider than the column, nor higher than asked', () => {
    fc.assert(
      fc.property(text, fc.integer({min: 2, max: 20}), fc.integer({min: 1, max: 5}), (whole, columns, rows) => {
        const lines = wrapText(whole, columns, rows);
        expect(lines.length).toBeLessThanOrEqual(rows);
        for (const line of lines) expect(cellsOf(line)).toBeLessThanOrEqual(columns);
        expect(cellsOf(cut(whole, columns))).toBeLessThanOrEqual(columns);
      }),
    );
  });

  it('loses no word when there is room', () => {
    fc.assert(
      fc.property(text, fc.integer({min: 2, max: 20}), (whole, columns) => {
        expect(wrapText(whole, columns).join('').replace(/ /g, '')).toBe(whole.replace(/ /g, ''));
      }),
    );
  });
});
