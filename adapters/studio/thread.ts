import {Worker} from 'node:worker_threads';
import {CameraFault} from '../../shared/camera.js';
import {plainText} from '../../shared/plain-text.js';
import type {Done, PrepareWork, SetSettings, TakeWork} from './work.js';

/** The studio's darkroom: a thread of its own, so that rendering never holds up a cue or a key. */
export type Thread = {
  /** Renders a frame to a whole JPEG file. @throws CameraFault `broken` with what went wrong */
  take(work: TakeWork): Promise<Uint8Array>;
  /** Builds the set ahead of time; nobody waits for it. */
  prepare(set: SetSettings): void;
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
  const ask = (work: TakeWork | PrepareWork): Promise<Done> =>
    new Promise((resolve, reject) => {
      if (ended) return reject(ended);
      const id = next;
      next += 1;
      waiting.set(id, {resolve, reject});
      worker.ref();
      worker.postMessage({...work, id});
    });
  return {
    take: async work => {
      const done = await ask(work).catch((error: Error): Done => ({kind: 'failed', id: 0, say: error.message}));
      if (done.kind === 'taken') return done.jpeg;
      const why = done.kind === 'failed' ? plainText(done.say) : 'it answered something else.';
      throw new CameraFault('broken', `The simulated room could not make the frame: ${why}`);
    },
    prepare: set => {
      ask({kind: 'prepare', set}).catch(() => undefined);
    },
    close: async () => {
      end(new Error('The simulated room was closed.'));
      await worker.terminate();
    },
  };
};
