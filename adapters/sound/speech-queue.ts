/** Speaks one text to its end; must come back soon after the signal aborts. */
type SpeakOne = (text: string, signal: AbortSignal) => Promise<void>;

/** Texts that wait; the oldest gives way, because the newest verdict is the one that matters. */
const LONGEST_QUEUE = 3;

export type SpeechQueue = {
  /** Resolves when this text was spoken, gave way or was silenced. Never rejects. */
  add(text: string): Promise<void>;
  /** Stops what is being said and forgets what waits. */
  silence(): void;
};

/** One voice, one text at a time, in order. */
export const createSpeechQueue = (speakOne: SpeakOne): SpeechQueue => {
  const waiting: {text: string; done(): void}[] = [];
  let speaking: AbortController | null = null;

  const speakNext = async (): Promise<void> => {
    const next = waiting.shift();
    if (!next || speaking) {
      if (next) waiting.unshift(next);
      return;
    }
    const abort = new AbortController();
    speaking = abort;
    try {
      await speakOne(next.text, abort.signal);
    } catch {
      // A text that can't be spoken is on the screen all the same.
    }
    speaking = null;
    next.done();
    void speakNext();
  };

  return {
    add: text =>
      new Promise(resolve => {
        waiting.push({text, done: resolve});
        if (waiting.length > LONGEST_QUEUE) waiting.shift()?.done();
        void speakNext();
      }),
    silence: () => {
      for (const {done} of waiting.splice(0)) done();
      speaking?.abort();
    },
  };
};
