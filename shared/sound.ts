import type {CueSheet} from './cues.js';

export type SoundState = {
  /** `device`: a player takes our stream; `bell`: only the terminal bell and text serve. */
  output: 'device' | 'bell';
  speech: boolean;
  /** One sentence for a person. */
  say: string;
};

/** Something that can be heard. One stream for a whole countdown and cue sheet, so that cues keep their distances. */
export type Sound = {
  state(): SoundState;
  /** Calls back when a device was found or went away. Returns the unsubscriber. */
  watch?(listener: (state: SoundState) => void): () => void;
  /**
   * Prepares the sheet's stream (rendering, speech) ahead of time; `start` then begins it at once.
   * @returns a handle whose `stop` silences it; `startedAtMs` is on the monotonic clock (performance.now)
   */
  prepare(sheet: CueSheet): Promise<{start(): {startedAtMs: number; stop(): void}}>;
  /** Speaks one or two short sentences; resolves when they were spoken, or at once when there is no speech. */
  say(text: string): Promise<void>;
  close(): Promise<void>;
};
