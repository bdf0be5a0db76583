import fc from 'fast-check';
import {describe, expect, it} from 'vitest';
import {plain} from '../../src/screen/plain.js';

describe('text that may be drawn', () => {
  it.each([
    ['a\u001b[2Jb', 'a [2Jb'],
    ['a\u001b]0;owned\u0007b', 'a ]0;owned b'],
    ['one\r\ntwo', 'one two'],
    ['\u202egnp.exe', ' gnp.exe'],
    ['zero\u200bwidth\u2066', 'zerowidth '],
    ['Z\u0351\u0352\u0353\u0354\u0355lgo', 'Z\u0351\u0352lgo'],
    ['\udc00lone', '\ufffdlone'],
    ['"The Lantern Keeper" № 7', '"The Lantern Keeper" № 7'],
  ])('makes %j plain', (text, expected) => {
    expect(plain(text)).toBe(expected);
  });

  it('cuts what is too long and says so', () => {
    expect(plain('x'.repeat(4096))).toHaveLength(401);
    expect(plain('x'.repeat(4096)).endsWith('…')).toBe(true);
  });

  it('never lets a control, a line break or a direction mark through', () => {
    fc.assert(
      fc.property(fc.string({unit: 'binary', maxLength: 500}), text => {
        expect(plain(text)).not.toMatch(/[\u0000-\u001f\u007f-\u009f\u200b-\u200f\u2028-\u202e\u2066-\u2069\ufeff]/);
      }),
    );
  });
});
