import {execa} from 'execa';
import {type Host, quietly, thisHost} from '../programs.js';
import {askWindows} from './ask-windows.js';

export type Wakefulness = {
  /** One sentence for a person where the machine may fall asleep; null where it is kept awake. */
  warning: string | null;
  /** Lets the machine sleep again. */
  release(): Promise<void>;
};

const SIGN = 'awake';
const PATIENCE_MS = 3000;

/*
 * Each of these holds the machine awake for as long as the program at its end runs, and that program echoes its stdin:
 * an echo proves that the hold is there, and when this program goes, however it goes, stdin closes and the hold ends.
 */
const holds: Partial<Record<NodeJS.Platform, [command: string, args: string[]]>> = {
  linux: ['systemd-inhibit', ['--what=idle:sleep', '--who=darkset', '--why=a shoot is running', '--mode=block', 'cat']],
  darwin: ['caffeinate', ['-i', '-m', '-s', 'cat']],
  win32: ['powershell.exe', ['-NoProfile', '-NonInteractive', '-Command', askWindows]],
};

/** Keeps the machine from falling asleep until released. Never rejects: where it can't, `warning` says so. */
export const keepAwake = async (host: Host = thisHost()): Promise<Wakefulness> => {
  const hold = holds[host.platform];
  if (!hold) return {warning: 'This system is not known: set it so that it does not fall asleep.', release: nothing};
  const [command, args] = hold;
  const letGo = new AbortController();
  const child = execa(command, args, {...quietly(host), stdin: 'pipe', cancelSignal: letGo.signal});
  child.stdin.on('error', () => {});
  child.stdin.write(`${SIGN}\n`);
  const release = async (): Promise<void> => {
    letGo.abort();
    await child;
  };
  if (await echoes(child)) return {warning: null, release};
  await release();
  return {
    warning: 'This computer may fall asleep during the shoot; switch its sleep off.',
    release: nothing,
  };
};

const nothing = async (): Promise<void> => {};

type Echoing = {stdout: NodeJS.ReadableStream} & PromiseLike<unknown>;

const echoes = (child: Echoing): Promise<boolean> =>
  new Promise(resolve => {
    const timer = setTimeout(() => resolve(false), PATIENCE_MS);
    const settle = (echoed: boolean): void => {
      clearTimeout(timer);
      resolve(echoed);
    };
    child.stdout.on('data', (data: Buffer) => data.toString().includes(SIGN) && settle(true));
    void child.then(() => settle(false));
  });
