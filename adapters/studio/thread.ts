import {Worker} from 'node:worker_threads';
import type {Done, Work} from './work.js';

type Without<T, K extends string> = T extends unknown ? Omit<T, K> : never;

/** The studio's darkroom: a thread of its own, so that rendering never holds up a cue or a key. */
export type Thread = {
  ask(work: Without<Work, 'id'>): Promise<Done>;
  close(): Promise<void>;
};

/** From source (tests, development) a thread first needs the loader that reads TypeScript; built code runs as it is. */
const startWorker = (): Worker => {
  if (!import.meta.url.endsWith('.ts')) return new Worker(new URL('./worker.js', import.meta.url), {execArgv: []});
  const entry = JSON.stringify(new URL('./worker.ts', import.meta.url).href);
  const loader = JSON.stringify(import.meta.resolve('tsx/esm/api'));
  const boot = `import(${loader}).then(tsx => { tsx.register(); return import(${entry}); })`;
  return new Worker(boot, {eval: true, execArgv: []});
};

export const openThread = (): Thread => {
  const worker = startWorker();
  const waiting = new Map<number, {resolve(done: Done): void; reject(error: Error): void}>();
  let next = 1;
  let ended: Error | null = null;
  const end = (error: Error): void => {
    ended ??= error;
    for (const {reject} of waiting.values()) reject(ended);
    waiting.clear();
    worker.unref();
  };
  worker.on('message', (done: Done) => {
    waiting.get(done.id)?.resolve(done);
    waiting.delete(done.id);
    if (waiting.size === 0) worker.unref();
  });
  worker.on('error', end);
  worker.on('exit', () => end(new Error('The simulated room was closed.')));
  worker.unref();
  return {
    ask: work =>
      new Promise((resolve, reject) => {
        if (ended) return reject(ended);
        const id = next;
        next += 1;
        waiting.set(id, {resolve, reject});
        worker.ref();
        worker.postMessage({...work, id});
      }),
    close: async () => {
      end(new Error('The simulated room was closed.'));
      await worker.terminate();
    },
  };
};
