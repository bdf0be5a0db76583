import type {Sound} from '../../shared/sound.js';

/** A sound that is opened when there is time for it; what is asked of it until then waits. */
export const lateSound = (ready: Promise<void>, open: () => Promise<Sound>): Sound => {
  let sound: Sound | null = null;
  let closed = false;
  const opened = ready.then(async () => {
    if (closed) throw new Error('The sound was closed before it was opened.');
    sound = await open();
    return sound;
  });
  // Whoever waits for it hears of a failure; nobody may be waiting.
  opened.catch(() => undefined);
  return {
    state: () => sound?.state() ?? {output: 'bell', speech: false, say: 'A sound device is being looked for.'},
    prepare: async sheet => (await opened).prepare(sheet),
    say: async text => (await opened).say(text),
    close: async () => {
      closed = true;
      await sound?.close();
    },
  };
};
