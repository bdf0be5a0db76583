import type {Sound, SoundState} from '../../shared/sound.js';
import {type Host, thisHost} from '../programs.js';
import {beginCueRun, type CueRun} from './cue-run.js';
import {cueTimeline} from './cue-timeline.js';
import {createCueWords} from './cue-words.js';
import {type Equipment, PATIENCE_MS, searchEquipment} from './equipment.js';
import {type ArmedStream, STREAM_RATE} from './player.js';
import {renderCueStream} from './render-cue-stream.js';
import {createSpeechQueue} from './speech-queue.js';
import {resample, toIntegers} from './wav.js';
import {within} from './within.js';

export type SoundOptions = {
  /** 0 (silent) to 1 (as loud as the system's own volume allows). */
  volume?: number;
  /** Whether to speak where a speech program exists. */
  speech?: boolean;
  /** How many times faster the simulated room's seconds go by; cues are compressed alike. */
  speed?: number;
  /** Rings the terminal's bell once; used only where no device plays. */
  ring?: () => void;
  host?: Host;
  /** Monotonic milliseconds. */
  now?: () => number;
};

/**
 * Opens this machine's sound. Comes back at once: the device and the voice are looked for in the background, `state`
 * says what is known so far, and `prepare` and `say` wait for the search a short time. Nothing here rejects or throws
 * because of sound: without a device the bell serves, and `state` says so. A beginning countdown silences speech.
 */
export const openSound = async (options: SoundOptions = {}): Promise<Sound> => {
  const {volume = 0.8, speech = true, speed = 1, ring = () => {}, host = thisHost()} = options;
  const now = options.now ?? (() => performance.now());
  const closing = new AbortController();
  const listeners = new Set<(state: SoundState) => void>();
  const streams = new Set<ArmedStream>();
  const words = createCueWords();
  let armed: ArmedStream | null = null;
  let run: CueRun | null = null;

  const search = searchEquipment(host, speech, closing.signal, state => {
    for (const listener of listeners) listener(state);
  });

  const arm = async ({player}: Equipment, samples: Int16Array): Promise<ArmedStream | null> => {
    if (!player || closing.signal.aborted) return null;
    const stream = await player.arm(samples, STREAM_RATE).catch(() => null);
    if (stream) {
      streams.add(stream);
      void stream.ended.then(() => streams.delete(stream));
      if (closing.signal.aborted) stream.stop();
    }
    return stream;
  };

  const queue = createSpeechQueue(async (text, signal) => {
    const equipment = await search.found();
    const recording = await equipment.synthesiser?.speak(text, signal);
    if (!recording || signal.aborted) return;
    const stream = await arm(equipment, toIntegers(resample(recording, STREAM_RATE), volume));
    if (!stream) return;
    signal.addEventListener('abort', stream.stop);
    if (signal.aborted) stream.stop();
    stream.begin();
    const end = await stream.ended;
    // Some devices take one player at a time: a text that finds it taken is no sign of a lost device.
    if (end === 'failed' && streams.size === 0) search.lost();
  });

  const begin = (stream: ArmedStream | null, timeline: ReturnType<typeof cueTimeline>): CueRun => {
    queue.silence();
    if (armed === stream) armed = null;
    run = beginCueRun(stream, timeline, {now, ring, onLost: search.lost});
    if (closing.signal.aborted) run.stop();
    return run;
  };

  return {
    state: search.state,
    watch: listener => {
      listeners.add(listener);
      return () => listeners.delete(listener);
    },
    prepare: async sheet => {
      const equipment = await search.foundNow();
      await within(words.speak(equipment.synthesiser, sheet, closing.signal), PATIENCE_MS, undefined);
      armed?.stop();
      const samples = renderCueStream(sheet, words.voices, {samplesPerSecond: STREAM_RATE, volume, speed});
      const stream = await arm(equipment, samples);
      armed = stream;
      let begun: CueRun | null = null;
      return {
        start: () => {
          begun ??= begin(stream, cueTimeline(sheet, speed));
          return begun;
        },
      };
    },
    say: async text => {
      if (!closing.signal.aborted) await queue.add(text);
    },
    close: async () => {
      closing.abort();
      queue.silence();
      run?.stop();
      const playing = [...streams];
      for (const stream of playing) stream.stop();
      await within(Promise.all(playing.map(stream => stream.ended)), PATIENCE_MS, undefined);
    },
  };
};
