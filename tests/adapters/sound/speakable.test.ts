import fc from 'fast-check';
import {expect, test} from 'vitest';
import {speakable} from '../../../adapters/sound/speakable.js';

test.each([
  ['B on the left wall −4.8 EV', 'B on the left wall minus 4.8 E V'],
  ['B moved 1.2 → 0.9 m', 'B moved 1.2 to 0.9 metres'],
  ['coverage 84 %, turn it 10° to the camera', 'coverage 84 percent, turn it 10 degrees to the camera'],
  ['lower B one stop (1/8)', 'lower B one stop one over 8'],
  ['8 s f/8 ISO 100', '8 seconds F 8 I S O 100'],
  ['The depth of field is 6 cm.', 'The depth of field is 6 centimetres.'],
])('%j is said as %j', (text, said) => {
  expect(speakable(text)).toBe(said);
});

test.each([
  ['an escape sequence', '\u001b[31mred\u001b[1K', '31mred 1K'],
  ['a mode switch of the synthesiser', 'now [[inpt PHON]] or [[_^_]]', 'now inpt PHON or'],
  ['markup', '<speak><break time="9s"/>hello</speak>', 'speak break time 9 seconds / hello /speak'],
  ['an option', '--stdout -f /etc/passwd', 'stdout f /etc/passwd'],
  ['bidi marks and a lone surrogate', 'a\u202eb\u2066c\ud800d', 'abcd'],
])('%s is only text', (_what, text, said) => {
  expect(speakable(text)).toBe(said);
});

test('whatever comes in, what goes out is short, well formed and free of signs that programs act on', () => {
  fc.assert(
    fc.property(fc.string({unit: 'binary', maxLength: 2000}), text => {
      const said = speakable(text);
      expect(said.length).toBeLessThanOrEqual(300);
      expect(said.isWellFormed()).toBe(true);
      expect(said).not.toMatch(/[\p{Cc}\p{Cf}[\]<>{}&$`\\|"]/u);
      expect(said).not.toMatch(/^-/u);
    }),
  );
});
