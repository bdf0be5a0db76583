import {endianness} from 'node:os';

/** Samples of one channel, each −1 to 1. */
export type Recording = {samplesPerSecond: number; samples: Float32Array};

const HEADER_BYTES = 44;

/** A WAVE file (RIFF, linear PCM, 16 bits, one channel) of these samples. */
export const writeWav = (samples: Int16Array, samplesPerSecond: number): Buffer => {
  const file = Buffer.alloc(HEADER_BYTES + samples.length * 2);
  file.write('RIFF', 0, 'latin1');
  file.writeUInt32LE(file.length - 8, 4);
  file.write('WAVEfmt ', 8, 'latin1');
  file.writeUInt32LE(16, 16);
  file.writeUInt16LE(1, 20);
  file.writeUInt16LE(1, 22);
  file.writeUInt32LE(samplesPerSecond, 24);
  file.writeUInt32LE(samplesPerSecond * 2, 28);
  file.writeUInt16LE(2, 32);
  file.writeUInt16LE(16, 34);
  file.write('data', 36, 'latin1');
  file.writeUInt32LE(samples.length * 2, 40);
  pcmBytes(samples).copy(file, HEADER_BYTES);
  return file;
};

/** The samples as signed 16-bit little-endian bytes, whatever this machine's own order is. */
export const pcmBytes = (samples: Int16Array): Buffer => {
  const bytes = Buffer.from(samples.slice().buffer);
  return endianness() === 'LE' ? bytes : bytes.swap16();
};

type Format = {channels: number; samplesPerSecond: number};

/**
 * Reads a WAVE file of 16-bit linear PCM; several channels are averaged to one. Sizes in the header are not trusted:
 * speech programs that stream write 0 or the largest number there.
 * @returns null for anything else
 */
export const readWav = (file: Buffer): Recording | null => {
  if (file.length < 12 || file.toString('latin1', 0, 4) !== 'RIFF' || file.toString('latin1', 8, 12) !== 'WAVE') {
    return null;
  }
  let format: Format | null = null;
  for (let at = 12; at + 8 <= file.length; ) {
    const id = file.toString('latin1', at, at + 4);
    const bytes = Math.min(file.readUInt32LE(at + 4), file.length - at - 8);
    const body = file.subarray(at + 8, at + 8 + bytes);
    if (id === 'fmt ') {
      format = readFormat(body);
      if (!format) return null;
    } else if (id === 'data') {
      const streamed = bytes === 0 ? file.subarray(at + 8) : body;
      return format && {samplesPerSecond: format.samplesPerSecond, samples: readSamples(streamed, format.channels)};
    }
    at += 8 + bytes + (bytes % 2);
  }
  return null;
};

const readFormat = (body: Buffer): Format | null => {
  if (body.length < 16) return null;
  const coding = body.readUInt16LE(0);
  const channels = body.readUInt16LE(2);
  const samplesPerSecond = body.readUInt32LE(4);
  const bits = body.readUInt16LE(14);
  const plain = (coding === 1 || coding === 0xfffe) && bits === 16;
  return plain && channels >= 1 && samplesPerSecond >= 1000 ? {channels, samplesPerSecond} : null;
};

const readSamples = (body: Buffer, channels: number): Float32Array => {
  const samples = new Float32Array(Math.floor(body.length / 2 / channels));
  for (let index = 0; index < samples.length; index++) {
    let sum = 0;
    for (let channel = 0; channel < channels; channel++) sum += body.readInt16LE((index * channels + channel) * 2);
    samples[index] = sum / channels / 32_768;
  }
  return samples;
};

/** The recording at another rate, by straight lines between samples: enough for speech, whose top is far below. */
export const resample = (recording: Recording, samplesPerSecond: number): Float32Array => {
  const {samples} = recording;
  if (recording.samplesPerSecond === samplesPerSecond || samples.length === 0) return samples;
  const step = recording.samplesPerSecond / samplesPerSecond;
  const out = new Float32Array(Math.floor((samples.length - 1) / step) + 1);
  for (let index = 0; index < out.length; index++) {
    const at = index * step;
    const left = Math.floor(at);
    const a = samples[left]!;
    const b = samples[Math.min(left + 1, samples.length - 1)]!;
    out[index] = a + (b - a) * (at - left);
  }
  return out;
};

/** Cuts the silence before and after: a word that begins late would be heard late. */
export const trimSilence = (samples: Float32Array, threshold = 0.01): Float32Array => {
  const first = samples.findIndex(sample => Math.abs(sample) > threshold);
  if (first < 0) return new Float32Array(0);
  let last = samples.length - 1;
  while (Math.abs(samples[last]!) <= threshold) last--;
  return samples.slice(first, last + 1);
};

/** Samples as signed 16-bit numbers. @param volume 0 to 1 */
export const toIntegers = (samples: Float32Array, volume: number): Int16Array =>
  Int16Array.from(samples, sample => Math.round(Math.max(-1, Math.min(1, sample * volume)) * 32_767));
