import {readFile} from 'node:fs/promises';
import path from 'node:path';
import {type Host, runs} from '../programs.js';
import {speakable} from './speakable.js';
import {openTempFolder} from './temp-folder.js';
import {type Recording, readWav, trimSilence} from './wav.js';

/** A speech program that writes what it says into a file. */
export type Synthesiser = {
  name: string;
  /** Silence before and after is cut. null where nothing came out; never rejects. */
  speak(text: string, signal: AbortSignal, wordsPerMinute?: number): Promise<Recording | null>;
};

const SPEAK_TIMEOUT_MS = 10_000;
const CALM_WORDS_PER_MINUTE = 165;

type Program = {name: string; args(file: string, wordsPerMinute: number): string[]};

/* Both take the text on stdin, so that no text can be read as an option. */
const espeak: Program = {name: 'espeak-ng', args: (file, pace) => ['-v', 'en', '-s', `${pace}`, '-w', file, '--stdin']};
const macSay: Program = {
  name: 'say',
  args: (file, pace) => ['-r', `${pace}`, '-o', file, '--file-format=WAVE', '--data-format=LEI16@22050', '-f', '-'],
};

/** The first speech program that gives samples when asked for a word (an exit code proves nothing here), or null. */
export const findSynthesiser = async (host: Host, signal: AbortSignal): Promise<Synthesiser | null> => {
  for (const program of host.platform === 'darwin' ? [macSay, espeak] : [espeak]) {
    const synthesiser = {name: program.name, speak: speakWith(host, program)};
    if (await synthesiser.speak('ready', signal)) return synthesiser;
  }
  return null;
};

const speakWith =
  (host: Host, program: Program): Synthesiser['speak'] =>
  async (text, signal, wordsPerMinute = CALM_WORDS_PER_MINUTE) => {
    const input = speakable(text);
    if (input === '') return null;
    const temp = await openTempFolder().catch(() => null);
    if (!temp) return null;
    try {
      const file = path.join(temp.folder, 'said.wav');
      const args = program.args(file, wordsPerMinute);
      if (!(await runs(host, program.name, args, {input, timeoutMs: SPEAK_TIMEOUT_MS, signal}))) return null;
      const recording = readWav(await readFile(file));
      const samples = recording && trimSilence(recording.samples);
      return recording && samples?.length ? {...recording, samples} : null;
    } catch {
      return null;
    } finally {
      await temp.remove();
    }
  };
