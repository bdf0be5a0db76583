import {Worker} from 'node:worker_threads';
import {FrameFault, fileLabel} from './fault.js';
import type {Measurer} from './measurer.js';
import type {JobName, Jobs, Reply, Request} from './worker-messages.js';

/** How long one job may take, milliseconds: many times what the largest frame needs on a slow machine. */
const JOB_MS = 60_000;

type Ask<Name extends JobName> = Jobs[Name]['ask'];
type Waiting = {
  request: Request;
  settle(reply: Reply): void;
  fail(error: Error): void;
  timer: NodeJS.Timeout | null;
  label: string;
  /** True where nobody asked for it: the plates of a thread that ended, loaded again for the next. */
  isReload: boolean;
};

/**
 * Built, the thread is a module beside this one. From TypeScript source (tests, tsx) it first needs the loader, which
 * Node 20 does not take over from execArgv.
 */
const startWorker = (): Worker => {
  if (!import.meta.url.endsWith('.ts')) return new Worker(new URL('./worker.js', import.meta.url));
  const loader = import.meta.resolve('tsx/esm/api');
  const source = new URL('./worker.ts', import.meta.url).href;
  const boot = `import('${loader}').then(({register}) => { register(); return import('${source}'); });`;
  return new Worker(boot, {eval: true});
};

/**
 * Opens a thread that measures frames. Jobs are answered in their order. A job that takes longer than a minute, or a
 * thread that stops, rejects that job with a FrameFault; the jobs behind it, and the next, have a new thread with the same
 * plates.
 * @param options.start how a thread is made; tests give one of their own
 */
export const openMeasurer = (options: {start?: () => Worker; jobMs?: number} = {}): Measurer => {
  const start = options.start ?? startWorker;
  const jobMs = options.jobMs ?? JOB_MS;
  const waiting = new Map<number, Waiting>();
  let worker: Worker | null = null;
  let nextId = 1;
  /** The plates that the jobs so far were asked to use. */
  let platesFolder: string | null = null;
  let closed = false;

  const failAll = (jobs: readonly Waiting[], fault: (job: Waiting) => Error): void => {
    for (const job of jobs) {
      if (job.timer) clearTimeout(job.timer);
      job.timer = null;
      job.fail(fault(job));
    }
  };

  /** Ends this thread. The oldest job is the one that it was at, and fails; the others never had their turn. */
  const abandon = (dead: Worker, why: (label: string) => string): void => {
    if (worker !== dead) return;
    worker = null;
    void dead.terminate();
    const [oldest, ...others] = waiting.values();
    waiting.clear();
    if (!oldest) return;
    failAll([oldest], job => new FrameFault('stuck', why(job.label)));
    // A thread that ends over its own plates would end so again and again.
    if (closed || oldest.isReload) {
      failAll(others, job => new FrameFault('stuck', why(closed ? job.label : oldest.label)));
      return;
    }
    if (oldest.request.job === 'usePlates') platesFolder = null;
    if (others.length === 0) return;
    try {
      const fresh = running();
      for (const job of others) send(fresh, job);
    } catch (error) {
      failAll(others, () => error as Error);
    }
  };

  /** Only the oldest job's time runs: the others wait for it. */
  const watchOldest = (): void => {
    const oldest = waiting.values().next().value;
    if (!oldest || oldest.timer) return;
    const running = worker;
    oldest.timer = setTimeout(() => {
      if (running) abandon(running, label => `Measuring ${label} took too long and was given up; try it again.`);
    }, jobMs);
  };

  const started = (): Worker => {
    try {
      return start();
    } catch {
      throw new FrameFault('stuck', 'The thread that measures could not be started; try it again.');
    }
  };

  const running = (): Worker => {
    if (worker) return worker;
    const fresh = started();
    worker = fresh;
    fresh.unref();
    fresh.on('message', (reply: Reply) => {
      const job = waiting.get(reply.id);
      if (!job) return;
      waiting.delete(reply.id);
      if (job.timer) clearTimeout(job.timer);
      if (job.request.job === 'usePlates' && !job.isReload) platesFolder = reply.ok ? job.request.folder : null;
      job.settle(reply);
      watchOldest();
      if (waiting.size === 0) fresh.unref();
    });
    const stopped = (): void => abandon(fresh, label => `Measuring ${label} stopped unexpectedly; try it again.`);
    fresh.on('error', stopped);
    fresh.on('exit', stopped);
    if (platesFolder !== null) {
      // A new thread has no plates yet; whether they still load is said by the next usePlates.
      post(fresh, 'usePlates', {folder: platesFolder}, 'the plates', true).catch(() => {});
    }
    return fresh;
  };

  const send = (to: Worker, job: Waiting): void => {
    waiting.set(job.request.id, job);
    to.ref();
    to.postMessage(job.request);
    watchOldest();
  };

  const post = <Name extends JobName>(
    to: Worker,
    job: Name,
    ask: Ask<Name>,
    label: string,
    isReload = false,
  ): Promise<Jobs[Name]['answer']> =>
    new Promise((resolve, reject) => {
      send(to, {
        request: {id: nextId++, job, ...ask} as Request,
        label,
        isReload,
        timer: null,
        fail: reject,
        settle(reply) {
          if (reply.ok) resolve(reply.answer as Jobs[Name]['answer']);
          else reject(reply.reason ? new FrameFault(reply.reason, reply.message) : new Error(reply.message));
        },
      });
    });

  const ask = async <Name extends JobName>(job: Name, what: Ask<Name>, label: string) => {
    if (closed) throw new FrameFault('stuck', 'Measuring was closed already.');
    return post(running(), job, what, label);
  };

  return {
    async usePlates(folder) {
      await ask('usePlates', {folder}, 'the plates');
    },
    measure: (file, zones) => ask('measure', {file, zones}, fileLabel(file)),
    guessZones: file => ask('guessZones', {file}, fileLabel(file)),
    picture: (file, maxWidth, maxHeight) => ask('picture', {file, maxWidth, maxHeight}, fileLabel(file)),
    async close() {
      closed = true;
      const last = worker;
      if (last) abandon(last, label => `Measuring ${label} was stopped.`);
      await last?.terminate();
    },
  };
};
