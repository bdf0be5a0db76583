import fc from 'fast-check';
import {expect, test} from 'vitest';
import {plainText} from '../../shared/plain-text.js';

test('an escape sequence loses what makes it one', () => {
  expect(plainText('a\u001b[31mred\u0007.jpg')).toBe('a [31mred .jpg');
});

test('direction overrides, line ends and lone surrogates do not come through', () => {
  expect(plainText('x\u202egpj.exe\r\ny\u2028z')).toBe('x gpj.exe y z');
  expect(plainText('\ud800')).toBe('\ufffd');
});

test('whatever goes in, nothing that moves a cursor comes out, and once is enough', () => {
  fc.assert(
    fc.property(fc.string({unit: 'binary'}), text => {
      const plain = plainText(text);
      expect(plain).not.toMatch(/[\u0000-\u001f\u007f-\u009f\u202a-\u202e\u2066-\u2069]/);
      expect(plainText(plain)).toBe(plain);
    }),
  );
});
