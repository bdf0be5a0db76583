import {describe, expect, it} from 'vitest';
import {createKeyGate} from '../../src/screen/terminal/key-gate.js';
import type {Key} from '../../src/screen/terminal/keys.js';

const space: Key = {name: 'space', text: ' ', ctrl: false, alt: false, shift: false, event: 'press'};

/** How many of presses at these moments (milliseconds) go through. */
const through = (moments: number[], change: (index: number) => Partial<Key> = () => ({})): number => {
  let at = 0;
  const gate = createKeyGate(() => at);
  return moments.filter((moment, index) => {
    at = moment;
    return gate.lets({...space, ...change(index)});
  }).length;
};

const held = (delayMs: number, everyMs: number): number[] => [
  0,
  ...Array.from({length: 60}, (_, index) => delayMs + index * everyMs),
];

describe('one "go on" for each time that the key goes down', () => {
  it.each([
    [250, 30],
    [500, 33],
    [660, 25],
    [400, 90],
  ])('lets a key through once that is held and repeats after %d ms every %d ms', (delay, every) => {
    expect(through(held(delay, every))).toBe(1);
  });

  it('is not misled by a machine that stumbles while the key is held', () => {
    const stumbling = held(400, 30)
      .map(moment => (moment > 1000 ? moment + 350 : moment))
      .map(moment => (moment > 1900 ? moment + 450 : moment));
    expect(through(stumbling)).toBe(1);
  });

  it('takes two presses of a worn button within a tenth of a second for one', () => {
    expect(through([0, 20, 45, 95])).toBe(1);
  });

  it('lets deliberate presses through, a second apart', () => {
    expect(through([0, 1000, 2000, 3000])).toBe(4);
  });

  it('lets somebody through who presses again and again out of impatience', () => {
    expect(through(Array.from({length: 10}, (_, index) => index * 300))).toBeGreaterThanOrEqual(3);
  });

  it('never lets a repeat or a release through', () => {
    expect(
      through([0, 1000, 2000], index => ({event: index === 0 ? 'press' : index === 1 ? 'repeat' : 'release'})),
    ).toBe(1);
  });

  it('needs no long wait where the terminal tells that the key came up', () => {
    expect(through([0, 100, 400], index => ({event: index === 1 ? 'release' : 'press'}))).toBe(2);
  });
});
