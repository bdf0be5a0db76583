import {expect, test} from 'vitest';
import {thisHost} from '../../../adapters/programs.js';
import {createCueWords} from '../../../adapters/sound/cue-words.js';
import {renderCueStream} from '../../../adapters/sound/render-cue-stream.js';
import {findSynthesiser} from '../../../adapters/sound/synthesiser.js';
import {usualCueSheet} from '../../../shared/cues.js';
import {needs} from '../../needs.js';

const RATE = 22_050;
const never = new AbortController().signal;
const linux = {...thisHost(), platform: 'linux' as const};

test('every word of the usual sheet fits between its tone and the next cue', async context => {
  needs(context, 'espeak-ng', 'espeak-ng');
  const synthesiser = await findSynthesiser(linux, never);
  const words = createCueWords();
  const sheet = usualCueSheet(8);
  await words.speak(synthesiser, sheet, never);
  expect([...words.voices.keys()]).toEqual(['lights out', 'paint', 'hold still', 'flash', 'closed']);
  const options = {samplesPerSecond: RATE, volume: 1, speed: 1};
  const spoken = renderCueStream(sheet, words.voices, options);
  const tones = renderCueStream(sheet, new Map(), options);
  const onlyWords = Float64Array.from(spoken, (sample, index) => sample - (tones[index] ?? 0));
  const loudest = (from: number, to: number): number =>
    onlyWords.slice(from * RATE, to * RATE).reduce((peak, sample) => Math.max(peak, Math.abs(sample)), 0);
  for (const cueSeconds of [1, 10.5, 15.5, 16.5, 18]) expect(loudest(cueSeconds, cueSeconds + 1)).toBeGreaterThan(2000);
});

test('a verdict is spoken as sound of a sensible length, and hostile text as well', async context => {
  needs(context, 'espeak-ng', 'espeak-ng');
  const synthesiser = await findSynthesiser(linux, never);
  const verdict = await synthesiser?.speak(
    'Face clear. Spill from B on the left wall, −4.8 EV. Lower B one stop.',
    never,
  );
  expect(verdict?.samplesPerSecond).toBe(RATE);
  expect(verdict!.samples.length / RATE).toBeGreaterThan(3);
  expect(verdict!.samples.length / RATE).toBeLessThan(15);
  expect(await synthesiser?.speak("\u001b]0;title\u0007 [[h@l'oU]] <say-as>\ud800", never)).not.toBeNull();
  expect(await synthesiser?.speak('\u0000\u202e…', never)).toBeNull();
});

test('a speech that is broken off comes back without sound', async context => {
  needs(context, 'espeak-ng', 'espeak-ng');
  const synthesiser = await findSynthesiser(linux, never);
  expect(await synthesiser?.speak('A long text that nobody waits for.', AbortSignal.abort())).toBeNull();
});
