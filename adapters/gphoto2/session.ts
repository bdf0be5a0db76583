import {CameraFault, type CameraIdentity} from '../../shared/camera.js';
import {plainText} from '../../shared/plain-text.js';
import {cameraFaultOf, linkAfter} from './faults.js';
import {libraryNames} from './hint.js';
import type {Answer, CallName, CallOf, CameraEvent, Setting} from './messages.js';
import {libraryPortOf, type Port, printPort} from './port.js';
import {settingNames} from './settings-table.js';
import {CallFault, type CallOptions, startWorker, type Worker} from './worker.js';

/** How long each call may take on a network before the process that hangs on it is ended, milliseconds. */
const LIMIT = {
  load: 30_000,
  detect: 30_000,
  open: 20_000,
  names: 10_000,
  summary: 10_000,
  read: 10_000,
  write: 10_000,
  trigger: 30_000,
  listen: 5000,
  drain: 10_000,
  storages: 10_000,
  list: 180_000,
  pull: 10_000,
  stop: 5000,
  close: 4000,
} as const satisfies Record<CallName, number>;
/** Drivers wait for a silent camera on USB for up to 20 s; on a network they give up after 2.5 s. */
const USB_LIMIT_FACTOR = 3;
/** A list that is older than this may lack frames: not every body tells of all that it makes. */
const FRESH_MS = 3000;

/** A connection that fails leaves descriptors open in the library: start afresh after a few. */
const FAILED_OPENS_BEFORE_RESTART = 3;
const IDLE_EVENTS_MS = 100;

/** What is known of a camera once it is connected. */
export type Facts = {
  identity: CameraIdentity;
  names: ReadonlySet<string>;
  canOpenShutter: boolean;
  /** Whether it has the standard's open capture. */
  hasOpenCapture: boolean;
};

export type SessionOptions = {
  port: Port;
  log(line: string): void;
  environment: Record<string, string>;
  libraries?: [string, string][];
  onEvent(event: Exclude<CameraEvent, {event: 'lost'}>): void;
  /** Contact was lost; it is taken up again with the next call. */
  onLost(fault: CameraFault): void;
};

const text = (setting: Setting | null | undefined): string =>
  typeof setting?.value === 'string' ? plainText(setting.value).trim().slice(0, 100).toWellFormed() : '';

/**
 * One camera and the process that holds it. Connects when first needed; after a broken connection the next call connects
 * again, with a new process.
 */
export const createSession = (options: SessionOptions) => {
  const place = printPort(options.port);
  let worker: Worker | null = null;
  let connecting: Promise<Facts> | null = null;
  let facts: Facts | null = null;
  let known: {identity: CameraIdentity; seen: string} | null = null;
  let failedOpens = 0;
  let closed = false;
  let connectedAt = 0;

  const letGo = (): void => {
    facts = null;
    connecting = null;
    worker?.kill();
    worker = null;
  };

  const lose = (fault: CameraFault): void => {
    const had = facts !== null;
    letGo();
    if (had && !closed) options.onLost(fault);
  };

  const hear = (event: CameraEvent): void => {
    if (event.event !== 'lost') {
      options.onEvent(event);
      return;
    }
    lose(cameraFaultOf(new CallFault('refused', -7, '', event.slow), place, 'be watched', true));
  };

  const ask = <Name extends CallName>(of: Worker, call: CallOf<Name>, more: Partial<CallOptions> = {}) =>
    of.call<Name>(call, {limitMs: LIMIT[call.do] * (options.port.kind === 'usb' ? USB_LIMIT_FACTOR : 1), ...more});

  const identify = async (of: Worker, opened: Answer<'open'>): Promise<Facts> => {
    const {names} = await ask<'names'>(of, {do: 'names'}).answer;
    const wanted = [...settingNames.maker, ...settingNames.model, ...settingNames.serial];
    const {settings} = await ask<'read'>(of, {do: 'read', names: wanted}).answer;
    const [maker, model, ...serials] = settings;
    const summary = await ask<'summary'>(of, {do: 'summary'}).answer.catch(() => ({text: ''}));
    return {
      identity: {
        kind: 'gphoto2',
        maker: text(maker),
        model: text(model) || plainText(opened.model).slice(0, 100).toWellFormed(),
        serial: serials.map(text).find(serial => serial !== '') ?? '',
        port: options.port.kind === 'usb' ? opened.port : place,
      },
      names: new Set(names),
      canOpenShutter: opened.can.capture || opened.can.trigger,
      hasOpenCapture: /(?<!No )Open Capture/.test(summary.text),
    };
  };

  const checkSame = (found: Facts): void => {
    if (
      known === null ||
      (known.identity.model === found.identity.model && known.identity.serial === found.identity.serial)
    ) {
      return;
    }
    const other = `${found.identity.model} is at ${place} now`;
    throw new CameraFault(
      'gone',
      `Another camera, ${other}; connect ${known.identity.model} again, or start again with this one.`,
    );
  };

  /** A new frame belongs on the card: in the camera's memory it would be lost with the next one. */
  const keepOnCard = async (of: Worker, found: Facts): Promise<void> => {
    const name = settingNames.target.find(one => found.names.has(one));
    if (name === undefined) return;
    const {settings} = await ask<'read'>(of, {do: 'read', names: [name]}).answer;
    const setting = settings[0];
    const card = setting?.choices.find(choice => /card/i.test(choice));
    if (card === undefined || setting?.value === card) return;
    await ask<'write'>(of, {do: 'write', name, value: card}).answer.catch((fault: unknown) =>
      options.log(`The frames could not be sent to the card: ${String(fault)}`),
    );
  };

  const start = (): Worker => {
    const started: Worker = startWorker({
      log: options.log,
      environment: options.environment,
      onEvent: hear,
      onEnd: () => {
        if (started === worker)
          lose(cameraFaultOf(new CallFault('died', 0, '', false), place, 'watch the camera', true));
      },
    });
    return started;
  };

  const connect = async (): Promise<Facts> => {
    const port = await libraryPortOf(options.port);
    const fresh = worker === null || !worker.running;
    const mine = fresh || worker === null ? start() : worker;
    worker = mine;
    try {
      if (fresh) {
        await ask<'load'>(mine, {do: 'load', libraries: options.libraries ?? libraryNames(process.platform)}).answer;
      }
      const model = options.port.kind === 'usb' ? (known?.seen ?? null) : null;
      const opened = await ask<'open'>(mine, {do: 'open', port, model}).answer;
      const found = await identify(mine, opened);
      checkSame(found);
      await keepOnCard(mine, found);
      await ask<'listen'>(mine, {do: 'listen', everyMs: IDLE_EVENTS_MS}).answer;
      known ??= {identity: found.identity, seen: opened.model};
      failedOpens = 0;
      connectedAt = performance.now();
      facts = found;
      return found;
    } catch (fault) {
      failedOpens += 1;
      const broken = !(fault instanceof CallFault) || fault.how !== 'refused';
      if (broken || failedOpens % FAILED_OPENS_BEFORE_RESTART === 0) letGo();
      throw cameraFaultOf(fault, place, 'be connected', true);
    }
  };

  const ready = async (): Promise<Facts> => {
    if (closed) throw new CameraFault('gone', 'The camera was let go of; connect to it again.');
    if (facts !== null && worker?.running) return facts;
    connecting ??= connect().finally(() => {
      connecting = null;
    });
    return connecting;
  };

  /** Connects anew, unless that has just happened: the library keeps what it once knew of the card. */
  const renew = async (): Promise<Facts> => {
    if (facts !== null && performance.now() - connectedAt > FRESH_MS) facts = null;
    return ready();
  };

  /** Whether the connection is gone, asking the camera once more where its code leaves that open. */
  const isLost = async (of: Worker, fault: CallFault): Promise<boolean> => {
    const link = linkAfter(fault);
    if (link !== 'doubtful') return link === 'lost';
    return ask<'storages'>(of, {do: 'storages'}).answer.then(
      () => false,
      (again: unknown) => !(again instanceof CallFault) || linkAfter(again) !== 'fine',
    );
  };

  return {
    place,
    ready,
    renew,
    /** Whether it is connected now. */
    get connected(): boolean {
      return facts !== null && worker?.running === true;
    },
    /** The process's id, for whoever wants to make sure that it ends. */
    get pid(): number | undefined {
      return worker?.pid;
    },
    /**
     * Asks the camera for something, connecting first where that is needed.
     * @param doing in words, for the sentence of the fault
     * @throws CameraFault
     */
    async ask<Name extends CallName>(
      call: CallOf<Name>,
      doing: string,
      more: Partial<CallOptions> & {begun?(id: number): void} = {},
    ): Promise<Answer<Name>> {
      await ready();
      const mine = worker;
      if (mine === null) throw new CameraFault('gone', 'The camera was let go of; connect to it again.');
      const pending = ask<Name>(mine, call, more);
      more.begun?.(pending.id);
      try {
        return await pending.answer;
      } catch (fault) {
        const lost = !(fault instanceof CallFault) || (await isLost(mine, fault));
        const told = cameraFaultOf(fault, place, doing, lost);
        if (lost && mine === worker) lose(told);
        throw told;
      }
    },
    async close(): Promise<void> {
      closed = true;
      const leaving = worker;
      const wasFine = facts !== null;
      worker = null;
      facts = null;
      if (leaving === null) return;
      if (wasFine && leaving.running) await ask<'close'>(leaving, {do: 'close'}).answer.catch(() => undefined);
      else leaving.kill();
      await leaving.end();
    },
  };
};

export type Session = ReturnType<typeof createSession>;
