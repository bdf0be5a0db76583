import fc from 'fast-check';
import {expect, test} from 'vitest';
import {cueTimeline} from '../../../adapters/sound/cue-timeline.js';
import {renderCueStream, type Voices} from '../../../adapters/sound/render-cue-stream.js';
import {type ToneName, toneSamples} from '../../../adapters/sound/tones.js';
import {type CueName, type CueSheet, cueNames, usualCueSheet} from '../../../shared/cues.js';

const RATE = 22_050;
const full = {samplesPerSecond: RATE, volume: 1, speed: 1};
const noVoice: Voices = new Map();

/** A stand-in for a spoken word: loud noise that never pauses, from a fixed seed. */
const word = (seconds: number): Float32Array => {
  let seed = 12_345;
  return Float32Array.from({length: Math.round(seconds * RATE)}, () => {
    seed = (seed * 1_103_515_245 + 12_345) % 2_147_483_648;
    return (seed / 1_073_741_824 - 1) * 0.9;
  });
};
const voices = (seconds: number): Voices => new Map<CueName, Float32Array>(cueNames.map(name => [name, word(seconds)]));

/** Seconds at which sound begins after at least 10 ms of silence. */
const onsets = (stream: Int16Array): number[] => {
  const found: number[] = [];
  let silent = RATE;
  stream.forEach((sample, index) => {
    if (Math.abs(sample) > 30) {
      if (silent > 0.01 * RATE) found.push(index / RATE);
      silent = 0;
    } else silent++;
  });
  return found;
};

const bytes = (stream: Int16Array): Buffer => Buffer.from(stream.buffer);

const peak = (stream: Int16Array, fromSeconds = 0, toSeconds = Number.POSITIVE_INFINITY): number =>
  stream
    .slice(Math.round(fromSeconds * RATE), Math.round(toSeconds * RATE))
    .reduce((a, b) => Math.max(a, Math.abs(b)), 0);

const at = (cues: [CueName, number, CueSheet['cues'][number]['sound']?][], countdownSeconds: number): CueSheet => ({
  countdownSeconds,
  cues: cues.map(([name, atSeconds, sound = 'tone']) => ({name, atSeconds, sound})),
});

test('every cue and every second of the usual sheet begins within 1 ms of its time', () => {
  const sheet = usualCueSheet(8);
  const heard = onsets(renderCueStream(sheet, noVoice, full));
  const written = [0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 10.5, 15.5, 16.5, 18];
  for (const seconds of written) {
    expect(Math.min(...heard.map(onset => Math.abs(onset - seconds)))).toBeLessThan(0.001);
  }
});

test('on any sheet, every cue begins within 1 ms of its time at any speed', () => {
  const sheets = fc.record({
    countdownSeconds: fc.integer({min: 0, max: 8}),
    // Half a second and more apart, so that each stands alone and can be told from the one before.
    gaps: fc.array(fc.double({min: 0.5, max: 3, noNaN: true}), {minLength: 1, maxLength: 8}),
    names: fc.array(fc.constantFrom(...cueNames), {minLength: 8, maxLength: 8}),
    speed: fc.constantFrom(1, 1.5, 2),
  });
  fc.assert(
    fc.property(sheets, ({countdownSeconds, gaps, names, speed}) => {
      let seconds = 0;
      const cues = gaps.map((gap, index): [CueName, number] => {
        seconds += gap;
        return [names[index]!, seconds];
      });
      const heard = onsets(renderCueStream(at(cues, countdownSeconds), noVoice, {...full, speed}));
      for (const [, cueSeconds] of cues) {
        const written = (countdownSeconds + cueSeconds) / speed;
        expect(Math.min(...heard.map(onset => Math.abs(onset - written)))).toBeLessThan(0.001);
      }
    }),
    {numRuns: 60},
  );
});

test('nothing clips, even with all cues at one moment and the words over them', () => {
  const pile = at(
    cueNames.map((name): [CueName, number, 'both'] => [name, 1, 'both']),
    2,
  );
  const stream = renderCueStream(pile, voices(0.5), full);
  expect(peak(stream)).toBeLessThanOrEqual(Math.ceil(0.95 * 32_767));
  expect(peak(stream)).toBeGreaterThan(0.9 * 32_767);
});

test('the same sheet gives the same samples', () => {
  const once = renderCueStream(usualCueSheet(8), voices(0.5), full);
  expect(Buffer.compare(bytes(renderCueStream(usualCueSheet(8), voices(0.5), full)), bytes(once))).toBe(0);
});

test('half the volume is half the height, and none is silence', () => {
  const loud = peak(renderCueStream(usualCueSheet(8), noVoice, full));
  expect(peak(renderCueStream(usualCueSheet(8), noVoice, {...full, volume: 0.5}))).toBeCloseTo(loud / 2, -1);
  expect(peak(renderCueStream(usualCueSheet(8), noVoice, {...full, volume: 0}))).toBe(0);
});

test.each([Number.POSITIVE_INFINITY, 0.1, 0.03])('no tone begins or ends with a click when it is cut at %d s', cut => {
  for (const name of [...cueNames, 'second', 'last second'] as const) {
    const samples = toneSamples(name, RATE, cut);
    expect(Math.abs(samples[0]!)).toBeLessThan(0.001);
    expect(Math.abs(samples[samples.length - 1]!)).toBeLessThan(0.001);
    expect(Math.abs(samples[samples.length - 8]!)).toBeLessThan(0.05);
  }
});

test('every tone differs from every other in pitch, length or number of notes', () => {
  const names: ToneName[] = [...cueNames, 'second', 'last second'];
  const shapes = names.map(name => {
    const samples = toneSamples(name, RATE, Number.POSITIVE_INFINITY);
    const crossings = samples.reduce(
      (count, sample, index) => count + (sample > 0 !== samples[index - 1]! > 0 ? 1 : 0),
      0,
    );
    const notes = onsets(Int16Array.from(samples, sample => sample * 32_767)).length;
    return {name, seconds: samples.length / RATE, hertz: (crossings / 2 / samples.length) * RATE, notes};
  });
  for (const one of shapes) {
    for (const other of shapes) {
      if (one.name === other.name) continue;
      const apart =
        Math.abs(Math.log2(one.hertz / other.hertz)) > 0.3 ||
        Math.abs(Math.log2(one.seconds / other.seconds)) > 0.4 ||
        one.notes !== other.notes;
      expect(apart, `${one.name} and ${other.name}`).toBe(true);
    }
  }
});

test('the last three seconds of the countdown are at least an octave higher, longer and louder than those before', () => {
  const stream = renderCueStream(at([], 6), noVoice, full);
  expect(onsets(stream)).toHaveLength(6);
  const early = toneSamples('second', RATE, 1);
  const late = toneSamples('last second', RATE, 1);
  expect(late.length).toBeGreaterThan(2 * early.length);
  expect(peak(stream, 3, 4)).toBeGreaterThan(1.5 * peak(stream, 0, 3));
  expect([3, 4, 5].map(second => peak(stream, second, second + 0.5))).toEqual(Array(3).fill(peak(stream, 3, 3.5)));
});

test('a word follows its tone and is over before the next cue', () => {
  const sheet = at(
    [
      ['paint', 1, 'both'],
      ['flash', 2.2, 'tone'],
    ],
    0,
  );
  const stream = renderCueStream(sheet, voices(0.6), full);
  expect(peak(stream, 1.4, 1.9)).toBeGreaterThan(5000);
  expect(peak(stream, 2.05, 2.199)).toBe(0);
  expect(onsets(stream).some(onset => Math.abs(onset - 2.2) < 0.001)).toBe(true);
});

test('a word that would run into the next cue is left out, and its tone stays', () => {
  const sheet = at(
    [
      ['hold still', 1, 'both'],
      ['flash', 1.5, 'tone'],
    ],
    0,
  );
  expect(bytes(renderCueStream(sheet, voices(0.6), full))).toEqual(bytes(renderCueStream(sheet, noVoice, full)));
});

test('a cue of speech alone is heard at its time, and as its tone where nothing can speak it', () => {
  const sheet = at([['hold still', 1, 'speech']], 0);
  const spoken = renderCueStream(sheet, voices(0.6), full);
  const toned = renderCueStream(sheet, noVoice, full);
  expect(onsets(spoken)[0]).toBeCloseTo(1, 3);
  expect(onsets(toned)[0]).toBeCloseTo(1, 3);
  expect(bytes(toned)).toEqual(bytes(renderCueStream(at([['hold still', 1, 'tone']], 0), noVoice, full)));
});

test('while a tick of the countdown sounds, the word under it is kept low', () => {
  const sheet = at([['lights out', -3.4, 'both']], 4);
  const withWord = renderCueStream(sheet, voices(1), full);
  const tick = renderCueStream(at([], 4), noVoice, full);
  const during = [1.02, 1.12] as const;
  const wordAlone = withWord.map((sample, index) => sample - (tick[index] ?? 0));
  expect(peak(wordAlone, ...during)).toBeLessThan(peak(tick, ...during) / 3);
  expect(peak(wordAlone, 1.3, 1.6)).toBeGreaterThan(10_000);
});

test('a cue that is switched off is not heard, and one from before the countdown is heard at "go"', () => {
  expect(cueTimeline(at([['open', 0, 'none']], 0), 1)).toEqual([]);
  expect(cueTimeline(at([['lights out', -20]], 2), 1)[0]).toEqual({atSeconds: 0, tone: 'lights out', word: null});
});

test('a sped-up room hears everything that much sooner', () => {
  const slow = cueTimeline(usualCueSheet(8), 1);
  const fast = cueTimeline(usualCueSheet(8), 4);
  expect(fast.map(moment => moment.atSeconds * 4)).toEqual(slow.map(moment => moment.atSeconds));
});
