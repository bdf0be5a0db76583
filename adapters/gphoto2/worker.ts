import {createRequire} from 'node:module';
import {fileURLToPath, pathToFileURL} from 'node:url';
import {execaNode} from 'execa';
import {plainText} from '../../shared/plain-text.js';
import {safely} from '../../shared/safely.js';
import {type Answer, answerSchemas, type CallName, type CallOf, type CameraEvent, replySchema} from './messages.js';

/** Why a call has no answer: the library said no, its process died, or it had to be ended because it hung. */
export class CallFault extends Error {
  override name = 'CallFault';
  constructor(
    readonly how: 'refused' | 'died' | 'hung',
    /** The library's code; 0 where the process is to blame. */
    readonly code: number,
    readonly said: string,
    /** Whether the camera was silent, rather than saying no or hanging up. */
    readonly slow: boolean,
  ) {
    super(said);
  }
}

export type CallOptions = {
  /** How long the call may take before its process is ended, milliseconds. A pull: between two signs of life. */
  limitMs: number;
  onPull?(bytes: number, total: number): void;
};

export type Worker = {
  call<Name extends CallName>(call: CallOf<Name>, options: CallOptions): PendingCall<Name>;
  /** Whether it can still be asked. */
  readonly running: boolean;
  readonly pid: number | undefined;
  /** Ends it at once. */
  kill(): void;
  /** Lets it go, and makes sure that it has ended. */
  end(): Promise<void>;
};

export type PendingCall<Name extends CallName> = {id: number; answer: Promise<Answer<Name>>};

export type WorkerOptions = {
  log(line: string): void;
  onEvent(event: CameraEvent): void;
  /** It has ended, by itself or because it was ended. */
  onEnd(): void;
  /** Added to the process's environment. */
  environment: Record<string, string>;
};

type Waiting = {
  name: CallName;
  resolve(answer: unknown): void;
  reject(fault: CallFault): void;
  options: CallOptions;
  timer: NodeJS.Timeout;
};

const END_GRACE_MS = 1000;
const LONGEST_LOG_LINE = 500;

/** The process runs from the TypeScript sources while they are worked on, and from JavaScript once built. */
const programOf = (): {file: string; nodeOptions: string[]} => {
  const here = fileURLToPath(import.meta.url);
  if (!here.endsWith('.ts')) return {file: fileURLToPath(new URL('./child/main.js', import.meta.url)), nodeOptions: []};
  const loader = pathToFileURL(createRequire(import.meta.url).resolve('tsx')).href;
  return {file: fileURLToPath(new URL('./child/main.ts', import.meta.url)), nodeOptions: ['--import', loader]};
};

/** Starts the process that holds the camera library, and speaks with it. It never outlives this one. */
export const startWorker = (options: WorkerOptions): Worker => {
  const {file, nodeOptions} = programOf();
  const child = execaNode(file, [], {
    nodeOptions,
    env: options.environment,
    ipc: true,
    // The driver closes descriptor 0 and writes to descriptor 2: neither may be the terminal's.
    stdin: 'ignore',
    stdout: 'ignore',
    stderr: 'pipe',
    buffer: false,
    reject: false,
    cleanup: true,
  });
  const waiting = new Map<number, Waiting>();
  let nextId = 1;
  let running = true;
  let unfinished = '';

  const settle = (id: number): Waiting | undefined => {
    const found = waiting.get(id);
    if (found !== undefined) clearTimeout(found.timer);
    waiting.delete(id);
    return found;
  };

  const failAll = (how: 'died' | 'hung', said: string): void => {
    running = false;
    for (const id of [...waiting.keys()]) settle(id)?.reject(new CallFault(how, 0, said, how === 'hung'));
  };

  const watch = (id: number, limitMs: number): NodeJS.Timeout =>
    setTimeout(() => {
      const name = waiting.get(id)?.name ?? 'call';
      options.log(`${name} took longer than ${limitMs} ms; the process is ended`);
      failAll('hung', 'The camera library hangs.');
      child.kill('SIGKILL');
    }, limitMs);

  child.stderr.setEncoding('utf8');
  child.stderr.on('data', (text: string) => {
    const lines = (unfinished + text).split('\n');
    unfinished = (lines.pop() ?? '').slice(-LONGEST_LOG_LINE);
    for (const line of lines) options.log(plainText(line.slice(0, LONGEST_LOG_LINE)));
  });
  void child.then(({signal, exitCode}) => {
    failAll('died', `The camera library’s process ended (${signal ?? exitCode}).`);
    options.onEnd();
  });

  const answered = (id: number, answer: unknown): void => {
    const call = settle(id);
    if (call === undefined) return;
    const parsed = safely<unknown>(answerSchemas[call.name], answer);
    if (parsed.success) call.resolve(parsed.data);
    else call.reject(new CallFault('refused', -1, `Not an answer to ${call.name}.`, false));
  };

  child.on('message', (message: unknown) => {
    const parsed = safely(replySchema, message);
    if (!parsed.success) {
      options.log(`Not understood: ${parsed.error?.issues[0]?.message ?? 'a message'}`);
      return;
    }
    const reply = parsed.data;
    if ('event' in reply) options.onEvent(reply);
    else if ('pull' in reply) {
      const call = waiting.get(reply.pull);
      if (call === undefined) return;
      clearTimeout(call.timer);
      call.timer = watch(reply.pull, call.options.limitMs);
      call.options.onPull?.(reply.bytes, reply.total);
    } else if ('failed' in reply) {
      const {code, said, slow} = reply.failed;
      settle(reply.id)?.reject(new CallFault('refused', code, said, slow));
    } else answered(reply.id, reply.answer);
  });

  return {
    call: (call, callOptions) => {
      const id = nextId;
      nextId += 1;
      const answer = new Promise<never>((resolve, reject) => {
        if (!running || !child.connected) {
          reject(new CallFault('died', 0, 'The camera library is not running.', false));
          return;
        }
        const timer = watch(id, callOptions.limitMs);
        waiting.set(id, {
          name: call.do,
          resolve: answer => resolve(answer as never),
          reject,
          options: callOptions,
          timer,
        });
        child.send({id, call});
      });
      return {id, answer};
    },
    get running() {
      return running;
    },
    pid: child.pid,
    kill: () => {
      failAll('died', 'The camera library was ended.');
      child.kill('SIGKILL');
    },
    end: async () => {
      running = false;
      const kill = setTimeout(() => child.kill('SIGKILL'), END_GRACE_MS);
      if (child.connected) child.disconnect();
      await child;
      clearTimeout(kill);
    },
  };
};
