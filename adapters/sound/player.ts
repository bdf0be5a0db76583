import {writeFile} from 'node:fs/promises';
import path from 'node:path';
import {execa} from 'execa';
import {type Host, quietly} from '../programs.js';
import {openTempFolder} from './temp-folder.js';
import {pcmBytes, writeWav} from './wav.js';

/** Samples per second of everything that is played: speech programs give this rate, and no tone comes near its half. */
export const STREAM_RATE = 22_050;

/** Played to its end, silenced by us, or given up by the player. */
export type StreamEnd = 'played' | 'stopped' | 'failed';

/** A stream that is ready to sound. */
export type ArmedStream = {
  /** Begins it. Does nothing the second time, or once it has ended. */
  begin(): void;
  /** Resolves when the player has ended. Never rejects. */
  ended: Promise<StreamEnd>;
  /** Silences it, also before it began. */
  stop(): void;
};

export type Player = {name: string; arm(samples: Int16Array, samplesPerSecond: number): Promise<ArmedStream>};

type StartPlayer = (host: Host, samples: Int16Array, samplesPerSecond: number) => Promise<ArmedStream>;

/**
 * A player that is already running, with the sound device open, and waits for samples on its stdin: beginning costs no
 * start of a program.
 */
const onStdin =
  (command: string, argsOf: (samplesPerSecond: number) => string[]): StartPlayer =>
  async (host, samples, samplesPerSecond) => {
    const bytes = pcmBytes(samples);
    return untilItEnds(signal => {
      const child = execa(command, argsOf(samplesPerSecond), {
        ...quietly(host),
        stdin: 'pipe',
        cancelSignal: signal,
      });
      child.stdin.on('error', () => {});
      const begin = (): void => {
        if (child.stdin.writable) child.stdin.end(bytes);
      };
      return {begin, ended: child};
    });
  };

/** A player that only takes files and starts when it is started. */
const onFile =
  (command: string, argsOf: (file: string) => string[]): StartPlayer =>
  async (host, samples, samplesPerSecond) => {
    const {file, remove} = await temporaryWav(samples, samplesPerSecond);
    return untilItEnds(signal => {
      let begin = (): void => {};
      const begun = new Promise<void>(resolve => {
        begin = resolve;
        signal.addEventListener('abort', () => resolve());
      });
      const play = async (): Promise<Ended> => {
        await begun;
        if (signal.aborted) return {failed: true};
        return execa(command, argsOf(file), {...quietly(host), stdin: 'ignore', cancelSignal: signal});
      };
      return {begin, ended: play().finally(remove)};
    });
  };

/** A program that has loaded the file named by DARKSET_WAV and begins at a line on its stdin. */
const onLine =
  (command: string, args: string[]): StartPlayer =>
  async (host, samples, samplesPerSecond) => {
    const {file, remove} = await temporaryWav(samples, samplesPerSecond);
    const env = {...host.env, DARKSET_WAV: file};
    return untilItEnds(signal => {
      const child = execa(command, args, {...quietly({...host, env}), stdin: 'pipe', cancelSignal: signal});
      child.stdin.on('error', () => {});
      const begin = (): void => {
        if (child.stdin.writable) child.stdin.end('begin\n');
      };
      return {begin, ended: child.finally(remove)};
    });
  };

type Ended = {failed: boolean};

const untilItEnds = (start: (signal: AbortSignal) => {begin(): void; ended: PromiseLike<Ended>}): ArmedStream => {
  const stopping = new AbortController();
  const {begin, ended} = start(stopping.signal);
  return {
    begin,
    ended: Promise.resolve(ended).then(({failed}) => {
      if (stopping.signal.aborted) return 'stopped';
      return failed ? 'failed' : 'played';
    }),
    stop: () => stopping.abort(),
  };
};

const temporaryWav = async (samples: Int16Array, samplesPerSecond: number) => {
  const {folder, remove} = await openTempFolder();
  const file = path.join(folder, 'stream.wav');
  await writeFile(file, writeWav(samples, samplesPerSecond));
  return {file, remove};
};

const paplay = onStdin('paplay', rate => [
  '--raw',
  '--format=s16le',
  `--rate=${rate}`,
  '--channels=1',
  '--client-name=darkset',
  '--stream-name=cues',
  '--latency-msec=250',
]);
const aplay = onStdin('aplay', rate => ['-q', '-t', 'raw', '-f', 'S16_LE', '-r', `${rate}`, '-c', '1']);
const loadThenPlay =
  '$p = New-Object System.Media.SoundPlayer $env:DARKSET_WAV; $p.Load(); [void][Console]::In.ReadLine(); $p.PlaySync()';
const powershell = onLine('powershell.exe', ['-NoProfile', '-NonInteractive', '-Command', loadThenPlay]);

const candidates = (platform: NodeJS.Platform): [name: string, start: StartPlayer][] => {
  if (platform === 'darwin') return [['afplay', onFile('afplay', file => [file])]];
  if (platform === 'win32') return [['powershell.exe', powershell]];
  return [
    ['paplay', paplay],
    ['pw-play', onFile('pw-play', file => [file])],
    ['aplay', aplay],
  ];
};

/** Names of the programs that could play on this kind of machine. */
export const playerNames = (platform: NodeJS.Platform): string[] => candidates(platform).map(([name]) => name);

const PROBE_TIMEOUT_MS = 3000;
const PROBE_SECONDS = 0.05;

/** The first player that takes a moment of silence to its end: only that proves a sound device. null: none does. */
export const findPlayer = async (host: Host, signal: AbortSignal): Promise<Player | null> => {
  for (const [name, start] of candidates(host.platform)) {
    if (signal.aborted) return null;
    const player: Player = {name, arm: (samples, rate) => start(host, samples, rate)};
    if (await plays(player, signal).catch(() => false)) return player;
  }
  return null;
};

const plays = async (player: Player, signal: AbortSignal): Promise<boolean> => {
  const stream = await player.arm(new Int16Array(STREAM_RATE * PROBE_SECONDS), STREAM_RATE);
  const tooLong = setTimeout(stream.stop, PROBE_TIMEOUT_MS);
  signal.addEventListener('abort', stream.stop);
  stream.begin();
  try {
    return (await stream.ended) === 'played';
  } finally {
    clearTimeout(tooLong);
    signal.removeEventListener('abort', stream.stop);
  }
};
