import fc from 'fast-check';
import {describe, expect, it} from 'vitest';
import {createKeyReader, type Incoming} from '../../src/screen/terminal/keys.js';

const read = (...chunks: string[]): Incoming[] => {
  const got: Incoming[] = [];
  const reader = createKeyReader(incoming => got.push(incoming));
  for (const chunk of chunks) reader.push(chunk);
  while (reader.waiting()) reader.flush();
  return got;
};

const names = (text: string): string[] => read(text).map(one => (one.kind === 'key' ? one.key.name : one.kind));

describe('keys from a terminal', () => {
  it.each([
    [' ', 'space'],
    ['\r', 'enter'],
    ['\u001b', 'escape'],
    ['\u001b[5~', 'pageup'],
    ['\u001b[6~', 'pagedown'],
    ['\u001b[A', 'up'],
    ['\u001bOB', 'down'],
    ['\u001b[15~', 'f5'],
    ['\u001b[[E', 'f5'],
    ['\u007f', 'backspace'],
    ['é', 'é'],
    ['😀', '😀'],
    ['\u001b[13u', 'enter'],
    ['\u001b[57422u', 'pagedown'],
  ])('reads %j as %s', (text, name) => {
    expect(names(text)).toEqual([name]);
  });

  it('tells shift, control and the events of a key apart', () => {
    const [shifted, control, repeat, release] = read('\u001b[1;2C', '\u0003', '\u001b[32;1:2u', '\u001b[6;1:3~');
    expect(shifted).toMatchObject({key: {name: 'right', shift: true}});
    expect(control).toMatchObject({key: {name: 'c', ctrl: true}});
    expect(repeat).toMatchObject({key: {name: 'space', event: 'repeat'}});
    expect(release).toMatchObject({key: {name: 'pagedown', event: 'release'}});
  });

  it('types the capital letter that the newer keyboard protocol names', () => {
    expect(read('\u001b[97;2;65u')).toMatchObject([{key: {name: 'A', text: 'A', shift: true}}]);
  });

  it('keeps pasted text in one piece, whatever is in it', () => {
    expect(read('\u001b[200~q\u001b[6~', ' k\u001b[201~x')).toEqual([
      {kind: 'paste', text: 'q\u001b[6~ k'},
      expect.objectContaining({kind: 'key'}),
    ]);
  });

  it("takes a terminal's answers for answers and never for keys", () => {
    const answers = [
      '\u001b[?62;4c',
      '\u001b[6;20;10t',
      '\u001b_Gi=31;OK\u001b\\',
      '\u001b[?1u',
      '\u001b]11;rgb:0/0/0\u0007',
    ];
    for (const answer of answers) expect(read(answer)).toEqual([{kind: 'answer', text: answer}]);
  });

  it('reads the same wherever the bytes are cut', () => {
    const pieces = [
      'a',
      ' ',
      '\r',
      '\u001b[6~',
      '\u001bOA',
      '\u001b[1;2C',
      '😀',
      '\u001b_Gi=31;OK\u001b\\',
      '\u001b[?62;4c',
      '\u001b[200~x y\u001b[201~',
    ];
    fc.assert(
      fc.property(
        fc.array(fc.constantFrom(...pieces), {maxLength: 12}),
        fc.infiniteStream(fc.integer({min: 1, max: 4})),
        (texts, cuts) => {
          const whole = texts.join('');
          const chunks: string[] = [];
          for (let at = 0; at < whole.length; ) {
            const length = cuts.next().value;
            chunks.push(whole.slice(at, at + length));
            at += length;
          }
          expect(read(...chunks)).toEqual(read(whole));
        },
      ),
    );
  });

  it('survives any bytes and keeps nothing back', () => {
    fc.assert(
      fc.property(fc.array(fc.string({unit: 'binary', maxLength: 8})), chunks => {
        const reader = createKeyReader(() => undefined);
        for (const chunk of chunks) reader.push(chunk);
        for (let turn = 0; turn < 100 && reader.waiting(); turn++) reader.flush();
        expect(reader.waiting()).toBe(false);
      }),
    );
  });
});
