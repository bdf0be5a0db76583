import type {CueName} from '../../shared/cues.js';

/** What a tone can stand for: a cue, a second of the countdown, one of its last three seconds. */
export type ToneName = CueName | 'second' | 'last second';

/** One note of a tone. `loudness` is the peak, 0 to 1. */
type Note = {hertz: number; fromSeconds: number; seconds: number; loudness: number};

const note = (hertz: number, fromSeconds: number, seconds: number, loudness: number): Note => ({
  hertz,
  fromSeconds,
  seconds,
  loudness,
});

/*
 * Told apart by shape before pitch, because pitch alone is hard to name in the dark: a cue falls, rises, stays or
 * repeats. All lie between 250 Hz and 1.6 kHz, which small loudspeakers give and older ears hear.
 */
const notesOf: Record<ToneName, Note[]> = {
  second: [note(587, 0, 0.05, 0.3)],
  'last second': [note(1175, 0, 0.16, 0.6)],
  'lights out': [note(494, 0, 0.16, 0.6), note(330, 0.17, 0.26, 0.6)],
  open: [note(784, 0, 0.45, 0.6)],
  paint: [note(523, 0, 0.12, 0.6), note(784, 0.13, 0.2, 0.6)],
  'hold still': [note(262, 0, 0.22, 0.7)],
  flash: [note(1568, 0, 0.06, 0.7), note(1568, 0.1, 0.06, 0.7), note(1568, 0.2, 0.06, 0.7)],
  closed: [note(784, 0, 0.14, 0.6), note(523, 0.15, 0.14, 0.6), note(392, 0.3, 0.3, 0.6)],
};

/** Seconds over which a note swells and dies away, so that it doesn't click. */
const EDGE_SECONDS = 0.004;
/** Strength of the first three overtones; one pure sine is hard to place in a room. */
const overtones = [1, 0.3, 0.12];
const overtoneSum = overtones.reduce((sum, part) => sum + part, 0);

/** How long the tone lasts when nothing cuts it short, seconds. */
export const toneSeconds = (name: ToneName): number =>
  Math.max(...notesOf[name].map(({fromSeconds, seconds}) => fromSeconds + seconds));

/**
 * The tone, its first sample the beginning of its first note.
 * @param longestSeconds where the next tone begins; this one has died away by then
 * @returns samples, each −1 to 1
 */
export const toneSamples = (name: ToneName, samplesPerSecond: number, longestSeconds: number): Float32Array => {
  const length = Math.ceil(Math.min(toneSeconds(name), longestSeconds) * samplesPerSecond);
  const samples = new Float32Array(length);
  for (const {hertz, fromSeconds, seconds, loudness} of notesOf[name]) {
    const from = Math.round(fromSeconds * samplesPerSecond);
    const to = Math.min(from + Math.round(seconds * samplesPerSecond), length);
    for (let index = from; index < to; index++) {
      const phase = (2 * Math.PI * hertz * (index - from)) / samplesPerSecond;
      const wave = overtones.reduce((sum, part, order) => sum + part * Math.sin(phase * (order + 1)), 0) / overtoneSum;
      samples[index]! += loudness * wave * softEdge(index - from, to - from, samplesPerSecond);
    }
  }
  return samples;
};

/** Raised cosine at both ends of a piece, 0 to 1. */
export const softEdge = (index: number, length: number, samplesPerSecond: number): number => {
  const edge = Math.max(1, Math.min(EDGE_SECONDS * samplesPerSecond, length / 2));
  const nearest = Math.min(index, length - 1 - index);
  return nearest >= edge ? 1 : 0.5 - 0.5 * Math.cos((Math.PI * nearest) / edge);
};
