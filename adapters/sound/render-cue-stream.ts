import type {CueName, CueSheet} from '../../shared/cues.js';
import {cueTimeline, type Moment} from './cue-timeline.js';
import {softEdge, toneSamples, toneSeconds} from './tones.js';
import {toIntegers} from './wav.js';

/** Each cue's word as samples at the stream's rate, its silence trimmed; cues without one are tones only. */
export type Voices = ReadonlyMap<CueName, Float32Array>;

export type CueStreamOptions = {
  samplesPerSecond: number;
  /** 0 (silent) to 1. */
  volume: number;
  /** How many times faster than written, > 0. */
  speed: number;
};

/** A piece of sound at its place in the stream. */
type Piece = {from: number; samples: Float32Array};

const CEILING = 0.95;
const WORD_LOUDNESS = 0.75;
/** How much of a word is left while a tone sounds. */
const DUCKED = 0.15;
const DUCK_RAMP_SECONDS = 0.02;
/** Without it, a tone that follows closely on its like would not be heard as a new one. */
const SILENCE_BEFORE_TONE_SECONDS = 0.02;
const PAUSE_BEFORE_WORD_SECONDS = 0.04;
const PAUSE_AFTER_WORD_SECONDS = 0.03;

/**
 * The whole countdown and cue sheet as one stream of signed 16-bit samples; sample 0 is "go". A word follows its tone,
 * is kept low while a tick sounds, and is left out where it would run into the next cue; a cue that had only its word
 * then gets its tone instead, so that no cue is ever silent.
 */
export const renderCueStream = (sheet: CueSheet, voices: Voices, options: CueStreamOptions): Int16Array => {
  const {samplesPerSecond} = options;
  const timeline = cueTimeline(sheet, options.speed);
  const words = timeline.map((moment, index) => placeWord(moment, timeline.slice(index + 1), voices, samplesPerSecond));
  const tones = timeline.map((moment, index) => {
    const tone = moment.tone ?? (words[index] ? null : moment.word);
    if (!tone) return null;
    const gap = nextOnset(timeline, index) - moment.atSeconds;
    const longest = gap - Math.min(SILENCE_BEFORE_TONE_SECONDS, gap / 2);
    return {from: at(moment.atSeconds, samplesPerSecond), samples: toneSamples(tone, samplesPerSecond, longest)};
  });
  const heardTones = tones.filter(piece => piece !== null);
  const heardWords = words.filter(piece => piece !== null);
  for (const word of heardWords) duckUnder(word, heardTones, samplesPerSecond);
  return toIntegers(withoutClipping(mix([...heardTones, ...heardWords])), options.volume);
};

const at = (seconds: number, samplesPerSecond: number): number => Math.round(seconds * samplesPerSecond);

const nextOnset = (timeline: Moment[], index: number): number =>
  timeline.slice(index + 1).find(later => later.tone && later.atSeconds > timeline[index]!.atSeconds)?.atSeconds ??
  Number.POSITIVE_INFINITY;

const placeWord = (moment: Moment, later: Moment[], voices: Voices, samplesPerSecond: number): Piece | null => {
  const voice = moment.word && voices.get(moment.word);
  if (!voice?.length) return null;
  const begins = moment.atSeconds + (moment.tone ? toneSeconds(moment.tone) + PAUSE_BEFORE_WORD_SECONDS : 0);
  const ends = begins + voice.length / samplesPerSecond + PAUSE_AFTER_WORD_SECONDS;
  const next = later.find(other => other.tone !== 'second' && other.tone !== 'last second');
  if (next && ends > next.atSeconds) return null;
  const samples = voice.map(
    (sample, index) => sample * WORD_LOUDNESS * softEdge(index, voice.length, samplesPerSecond),
  );
  return {from: at(begins, samplesPerSecond), samples};
};

const duckUnder = (word: Piece, tones: Piece[], samplesPerSecond: number): void => {
  const ramp = DUCK_RAMP_SECONDS * samplesPerSecond;
  for (const tone of tones) {
    const toneEnds = tone.from + tone.samples.length;
    const first = Math.max(0, Math.floor(tone.from - ramp - word.from));
    const end = Math.min(word.samples.length, Math.ceil(toneEnds + ramp - word.from));
    for (let index = first; index < end; index++) {
      const place = word.from + index;
      const away = Math.max(tone.from - place, place - toneEnds, 0);
      word.samples[index]! *= DUCKED + (1 - DUCKED) * Math.min(1, away / ramp);
    }
  }
};

const mix = (pieces: Piece[]): Float32Array => {
  const length = pieces.reduce((longest, piece) => Math.max(longest, piece.from + piece.samples.length), 0);
  const sum = new Float32Array(length);
  for (const {from, samples} of pieces) {
    for (let index = 0; index < samples.length; index++) sum[from + index]! += samples[index]!;
  }
  return sum;
};

/** Cues that fall together may add up to more than full scale: the whole stream then becomes quieter, none is cut. */
const withoutClipping = (samples: Float32Array): Float32Array => {
  const peak = samples.reduce((highest, sample) => Math.max(highest, Math.abs(sample)), 0);
  return peak > CEILING ? samples.map(sample => (sample * CEILING) / peak) : samples;
};
