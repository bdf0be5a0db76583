import {readFileSync} from 'node:fs';
import {rm} from 'node:fs/promises';
import {join} from 'node:path';
import {fileURLToPath} from 'node:url';
import {execaNode} from 'execa';
import {type Gphoto2Camera, openGphoto2} from '../../adapters/gphoto2/open.js';
import type {FrameOnCamera} from '../../shared/camera.js';
import {ownEnvironment} from '../adapters/gphoto2/bench.js';

/*
 * How fast the way from the camera is, against the bare library in the same run, and what the connection costs while
 * nothing happens. Prints ratios: a machine's own speed says little.
 */

const root = fileURLToPath(new URL('../..', import.meta.url));
const never = new AbortController().signal;
const FRAME_BYTES = 25 * 1024 * 1024;
const ROUNDS = 9;
const IDLE_SECONDS = 10;
const EXPOSURE_SECONDS = 8;
const TICK_MS = 5;

const script = (name: string, arguments_: string[], environment: Record<string, string>) =>
  execaNode(join(root, 'tests/loopback-camera', name), arguments_, {
    nodeOptions: ['--import', 'tsx'],
    cwd: root,
    env: environment,
    ipc: true,
    reject: false,
    buffer: false,
    stderr: 'inherit',
  });

const median = (values: number[]): number => {
  const sorted = [...values].sort((a, b) => a - b);
  return sorted[Math.floor(sorted.length / 2)] ?? Number.NaN;
};

const own = ownEnvironment();
const startPeer = async (pace: number): Promise<{end(): void; number: string}> => {
  const peer = script('peer.ts', [String(pace), String(FRAME_BYTES)], own.environment);
  const line = await new Promise<string>(resolve => peer.stdout.once('data', bytes => resolve(String(bytes).trim())));
  return {end: () => void peer.kill('SIGKILL'), number: line};
};

const open = (number: string): Promise<Gphoto2Camera> =>
  openGphoto2({port: `ip:127.0.0.1:${number}`, environment: own.environment});

const expose = (camera: Gphoto2Camera, seconds: number): Promise<FrameOnCamera[]> =>
  camera.expose({seconds, signal: never, onOpen: () => undefined, onClose: () => undefined});

const timed = async (work: () => Promise<unknown>): Promise<number> => {
  const begun = performance.now();
  await work();
  return performance.now() - begun;
};

/** Our pull and the bare call, turn by turn, so that both meet the same machine. */
const pullSpeed = async (): Promise<void> => {
  const peer = await startPeer(0.02);
  const camera = await open(peer.number);
  const [frame] = await expose(camera, 0.5);
  await camera.close();
  // The camera serves one connection at a time, so each side has its own turn with it.
  const port = `ptpip:127.0.0.1:${peer.number}:${peer.number}`;
  const bare = script('bare-call.ts', [port, frame!.folder, frame!.name], own.environment);
  await new Promise(resolve => bare.once('message', resolve));
  const ours = await open(peer.number);
  const ms: {ours: number[]; bare: number[]} = {ours: [], bare: []};
  for (let round = 0; round < ROUNDS; round += 1) {
    const path = join(own.folder, `pull-${round}`);
    ms.ours.push(await timed(() => ours.pull(frame!, path, () => undefined, never)));
    await rm(path);
    const answer = new Promise<{ms: number}>(resolve =>
      bare.once('message', message => resolve(message as {ms: number})),
    );
    bare.send(path);
    ms.bare.push((await answer).ms);
    await rm(path);
  }
  bare.kill('SIGKILL');
  await ours.close();
  peer.end();
  const speed = (values: number[]): string => `${Math.round(FRAME_BYTES / 1e6 / (median(values) / 1000))} MB/s`;
  const ratio = median(ms.bare) / median(ms.ours);
  console.log(
    `pull          ${ratio.toFixed(2)} of the bare call's speed (${speed(ms.ours)} and ${speed(ms.bare)}; want 0.90)`,
  );
};

const firstByte = async (): Promise<void> => {
  const peer = await startPeer(0.02);
  const camera = await open(peer.number);
  const waits: number[] = [];
  for (let round = 0; round < 3; round += 1) {
    const begun = performance.now();
    const [frame] = await expose(camera, 0.5);
    const path = join(own.folder, `first-${round}`);
    let first = Number.NaN;
    await camera.pull(
      frame!,
      path,
      () => {
        first = Number.isNaN(first) ? performance.now() : first;
      },
      never,
    );
    waits.push(first - begun);
    await rm(path);
  }
  await camera.close();
  peer.end();
  console.log(`first byte    ${Math.round(median(waits))} ms after the release of an exposure of 10 ms`);
};

/** CPU seconds that a process has used (Linux). */
const cpuSecondsOf = (pid: number): number => {
  const fields = readFileSync(`/proc/${pid}/stat`, 'utf8').split(') ')[1]!.split(' ');
  return (Number(fields[11]) + Number(fields[12])) / 100;
};

const idleAndLag = async (): Promise<void> => {
  const peer = await startPeer(1);
  const camera = await open(peer.number);
  camera.watch(() => undefined);
  await camera.status();
  const pause = (seconds: number): Promise<void> => new Promise(resolve => setTimeout(resolve, seconds * 1000));
  await pause(1);
  const pid = camera.libraryPid!;
  const before = {child: cpuSecondsOf(pid), own: process.cpuUsage()};
  await pause(IDLE_SECONDS);
  const {user, system} = process.cpuUsage(before.own);
  const child = cpuSecondsOf(pid) - before.child;
  const percent = (seconds: number): string => `${((seconds / IDLE_SECONDS) * 100).toFixed(1)} %`;
  console.log(
    `idle          ${percent((user + system) / 1e6)} of a core here, ${percent(child)} in the library's process`,
  );

  /** How late a timer comes: what the event loop is kept from. Once alone, once during an exposure. */
  const lateness = async (work: () => Promise<unknown>): Promise<number[]> => {
    const late: number[] = [];
    let due = performance.now() + TICK_MS;
    const timer = setInterval(() => {
      late.push(Math.max(0, performance.now() - due));
      due = performance.now() + TICK_MS;
    }, TICK_MS);
    await work();
    clearInterval(timer);
    return late.sort((a, b) => a - b);
  };
  const at = (values: number[], part: number): string =>
    (values[Math.floor((values.length - 1) * part)] ?? 0).toFixed(1);
  const alone = await lateness(() => pause(EXPOSURE_SECONDS));
  const exposing = await lateness(() => expose(camera, EXPOSURE_SECONDS));
  console.log(
    `loop          ${at(exposing, 0.99)} ms late (p99), ${at(exposing, 1)} at most, during an exposure of ${EXPOSURE_SECONDS} s; ` +
      `${at(alone, 0.99)} and ${at(alone, 1)} without (want 15)`,
  );
  await camera.close();
  peer.end();
};

await pullSpeed();
await firstByte();
await idleAndLag();
own.remove();
