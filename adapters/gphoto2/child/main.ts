import {type Answer, type Call, type Reply, requestSchema} from '../messages.js';
import {bindGphoto2, MissingLibrary, takeUnicodeLocale} from './bindings.js';
import {readEvents, readNames, readSetting, readSummary, trigger, writeSetting} from './camera.js';
import {listCard, readStorages} from './card.js';
import {type Connection, createConnection} from './connection.js';
import {CODE, LibraryFault} from './fault.js';
import {createTurns} from './in-turn.js';
import {pullFile} from './pull.js';

/*
 * The process that holds libgphoto2. It answers calls, tells events, and ends when the program that started it ends:
 * even while a call into the library never returns.
 */

const turns = createTurns();
const pulls = new Map<number, AbortController>();
let connection: Connection | null = null;
let listening: NodeJS.Timeout | null = null;

const say = (reply: Reply): void => {
  process.send?.(reply);
};

const held = (): Connection => {
  if (connection === null) throw new LibraryFault(CODE.error, 'The library is not loaded', false);
  return connection;
};

const load = async (libraries: [string, string][]): Promise<Answer<'load'>> => {
  takeUnicodeLocale();
  connection ??= createConnection(bindGphoto2(libraries));
  return connection.about();
};

const listen = (everyMs: number): void => {
  if (listening !== null) clearInterval(listening);
  listening = null;
  if (everyMs === 0) return;
  listening = setInterval(() => {
    if (turns.busy() > 0) return;
    void turns
      .take(() => readEvents(held(), say))
      .catch((fault: unknown) => {
        listen(0);
        const lost = fault instanceof LibraryFault ? fault : new LibraryFault(CODE.error, String(fault), false);
        say({event: 'lost', code: lost.code, slow: lost.slow});
      });
  }, everyMs);
};

const pull = async (id: number, call: Extract<Call, {do: 'pull'}>): Promise<Answer<'pull'>> => {
  const stop = new AbortController();
  pulls.set(id, stop);
  try {
    const bytes = await pullFile(held(), {
      ...call,
      signal: stop.signal,
      inTurn: turns.take,
      progress: (done, total) => say({pull: id, bytes: done, total}),
    });
    return {bytes};
  } finally {
    pulls.delete(id);
  }
};

const settingsNamed = async (names: string[]): Promise<Answer<'read'>> => {
  const settings = [];
  for (const name of names) settings.push(await readSetting(held(), name));
  return {settings};
};

const answer = async (id: number, call: Call): Promise<unknown> => {
  switch (call.do) {
    case 'load':
      return turns.take(() => load(call.libraries));
    case 'detect':
      return turns.take(async () => ({cameras: await held().detect()}));
    case 'open':
      return turns.take(() => held().open(call.port, call.model));
    case 'names':
      return turns.take(async () => ({names: await readNames(held())}));
    case 'summary':
      return turns.take(async () => ({text: await readSummary(held())}));
    case 'read':
      return turns.take(() => settingsNamed(call.names));
    case 'write':
      return turns.take(() => writeSetting(held(), call.name, call.value)).then(() => ({}));
    case 'trigger':
      return turns.take(() => trigger(held()));
    case 'listen':
      listen(call.everyMs);
      return {};
    case 'drain':
      return turns.take(() => readEvents(held(), say)).then(() => ({}));
    case 'storages':
      return turns.take(async () => ({storages: await readStorages(held())}));
    case 'list':
      return turns.take(async () => ({files: await listCard(held())}));
    case 'pull':
      return pull(id, call);
    case 'stop':
      pulls.get(call.pull)?.abort();
      return {};
    case 'close':
      listen(0);
      return turns.take(() => held().leave()).then(() => ({}));
  }
};

const failureOf = (fault: unknown): {code: number; said: string; slow: boolean} => {
  if (fault instanceof LibraryFault) return {code: fault.code, said: fault.said.slice(0, 2000), slow: fault.slow};
  // -4 is the library's own code for a driver that can't be loaded.
  const code = fault instanceof MissingLibrary ? -4 : CODE.error;
  return {code, said: String(fault).slice(0, 2000), slow: false};
};

process.on('message', (message: unknown) => {
  const request = requestSchema.safeParse(message);
  if (!request.success) {
    process.stderr.write(`Not understood: ${request.error.message}\n`);
    return;
  }
  const {id, call} = request.data;
  answer(id, call).then(
    result => say({id, answer: result}),
    fault => {
      const failed = failureOf(fault);
      process.stderr.write(`${call.do}: ${failed.said} (${failed.code})\n`);
      say({id, failed});
    },
  );
});

// A call that is stuck in the library would keep an ordinary exit from happening.
process.on('disconnect', () => process.kill(process.pid, 'SIGKILL'));
