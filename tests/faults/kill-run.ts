import {spawn} from 'node:child_process';
import {createHash} from 'node:crypto';
import {existsSync, readdirSync, readFileSync, statSync} from 'node:fs';
import path from 'node:path';
import {createInterface} from 'node:readline';
import {within} from '../../src/shoot/stopping.js';
import {frameBytes, framesOnCard, shotsOn} from './card-camera.js';
import {type Transpiled, transpileProgram} from './transpiled.js';

/*
 * Kills the program at random instants and looks, with nothing of the program's own code, at what is on the disk.
 */

export type KillReport = {
  seed: number;
  kills: number;
  /** What was going on when the kill came: activity → how often. */
  during: Record<string, number>;
  /** Kills that left a torn last line. */
  torn: number;
  attempts: number;
  frames: number;
  strays: number;
  /** Exposures whose frames were fetched in a later run of the program. */
  fetchedLater: number;
  /** What was wrong, each a sentence; empty when nothing was lost. */
  wrong: string[];
};

/** Random numbers from 0 to 1 that follow from a seed (mulberry32, public domain). */
export const randomFrom = (seed: number): (() => number) => {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = Math.imul(state ^ (state >>> 15), state | 1);
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61);
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 4_294_967_296;
  };
};

type Evening = {
  begin(): void;
  kill(): void;
  /** Resolves when it says that it is doing this, or ends. */
  reaches(what: string): Promise<void>;
  ended: Promise<number | null>;
  lastSeen(): string;
  errors(): string;
};

const loadEvening = (program: string, folder: string, camera: string, mode: 'go-on' | 'until-quiet'): Evening => {
  const file = path.join(program, 'tests/faults/evening.js');
  const child = spawn(process.execPath, [file, folder, camera, mode], {stdio: ['pipe', 'pipe', 'pipe']});
  let seen = 'opening';
  let errors = '';
  let awaited: {what: string; resolve(): void} | null = null;
  child.stderr.on('data', data => {
    errors += data;
  });
  child.stdin.on('error', () => undefined);
  const ended = new Promise<number | null>(resolve => child.once('close', code => resolve(code)));
  ended.then(() => awaited?.resolve());
  createInterface({input: child.stdout}).on('line', line => {
    if (line.startsWith('at ')) seen = line.split(' ').slice(1, -3).join(' ');
    if (awaited && (line === awaited.what || line.startsWith(`at ${awaited.what} `))) awaited.resolve();
  });
  return {
    begin: () => void child.stdin.write('begin\n'),
    kill: () => void child.kill('SIGKILL'),
    reaches: what =>
      new Promise(resolve => {
        awaited = {what, resolve};
      }),
    ended,
    lastSeen: () => seen,
    errors: () => errors,
  };
};

/** When the kill comes: soon after it has begun to do this. */
const instants = ['opening', 'ready', 'countdown', 'open', 'pulling', 'measuring', 'wrapping'];
/** The evening with the camera that goes on by itself also probes the room now and then. */
const withProbes = [...instants, 'room check'];
/** Longer than anything takes to come about here, ms. */
const NEVER_MS = 120_000;
/** How soon, ms; as long as opening the shoot, a countdown, an exposure and a pull last in this evening. */
const soonMs = (instant: string): number => (['opening', 'open'].includes(instant) ? 400 : 120);

type Entry = {
  kind: string;
  at: string;
  attempt?: number;
  file?: {path: string; bytes: number; sha256: string; nameOnCamera: string};
  files?: {path: string; bytes: number; sha256: string}[];
  plate?: string;
};

/** The journal as plain lines: its entries, and what follows the last newline. */
const readJournal = (file: string, wrong: string[]): {bytes: Buffer; entries: Entry[]; torn: Buffer} => {
  const bytes = existsSync(file) ? readFileSync(file) : Buffer.alloc(0);
  const end = bytes.lastIndexOf(10) + 1;
  const entries: Entry[] = [];
  for (const line of bytes.subarray(0, end).toString('utf8').split('\n').slice(0, -1)) {
    try {
      entries.push(JSON.parse(line) as Entry);
    } catch {
      wrong.push(`A line in the middle of the journal does not parse: ${line.slice(0, 80)}`);
    }
  }
  return {bytes: bytes.subarray(0, end), entries, torn: bytes.subarray(end)};
};

/** Everything under a folder, relative. */
const allFiles = (folder: string): string[] =>
  existsSync(folder)
    ? readdirSync(folder, {recursive: true, withFileTypes: true})
        .filter(entry => entry.isFile())
        .map(entry => path.relative(folder, path.join(entry.parentPath, entry.name)))
    : [];

const checkFiles = (shoot: string, entries: Entry[], camera: string, wrong: string[]): void => {
  const told = entries.flatMap(({file}) => (file ? [file] : []));
  for (const {path: relative, bytes, sha256, nameOnCamera} of told) {
    const file = path.join(shoot, relative);
    if (!existsSync(file)) wrong.push(`${relative} is in the journal and not on the disk.`);
    else if (statSync(file).size !== bytes) wrong.push(`${relative} has another size than the journal says.`);
    else {
      const content = readFileSync(file);
      if (createHash('sha256').update(content).digest('hex') !== sha256)
        wrong.push(`${relative} has another content than the journal says.`);
      if (camera === 'card' && !content.equals(frameBytes(nameOnCamera)))
        wrong.push(`${relative} is not what the camera made.`);
    }
  }
  const known = new Set(told.map(file => file.path));
  const places = ['attempts', 'strays'].flatMap(folder =>
    allFiles(path.join(shoot, folder)).map(name => path.join(folder, name)),
  );
  for (const relative of places.filter(name => !known.has(name) && !path.basename(name).startsWith('.pulling-'))) {
    const name = path.basename(relative);
    const whole = camera !== 'card' || readFileSync(path.join(shoot, relative)).equals(frameBytes(name));
    if (!whole) wrong.push(`${relative} is half written under a whole name.`);
  }
};

/** A shot shorter than this is a probe, seconds. */
const PROBES_BELOW = 1;

const isProbe = (card: string, name: string): boolean =>
  (shotsOn(card).get(path.parse(name).name)?.seconds ?? 0) < PROBES_BELOW;

/** Every frame must be with the attempt that was the newest when its shutter opened, and no probe with any. */
const checkAttempts = (card: string, entries: Entry[], wrong: string[]): void => {
  const shots = shotsOn(card);
  const begun = entries
    .filter(({kind}) => kind === 'attempt-begun')
    .map(({at, attempt}) => ({at: Date.parse(at), attempt}));
  for (const {kind, attempt, file} of entries) {
    if (kind !== 'frame-pulled' || !file) continue;
    const {openedMs, seconds} = shots.get(path.parse(file.nameOnCamera).name)!;
    if (seconds < PROBES_BELOW) wrong.push(`${file.nameOnCamera} is a probe and stands as a frame of ${attempt}.`);
    const truly = begun.findLast(({at}) => at <= openedMs)?.attempt;
    if (truly !== attempt) wrong.push(`${file.nameOnCamera} of attempt ${truly} is with attempt ${attempt}.`);
  }
};

/**
 * Runs the evening and kills it so many times, looking at the disk after every kill; then lets it open once more in peace
 * and looks whether everything that the camera made is in the shoot.
 * @param camera card: one that goes on by itself; studio: the simulated room
 */
export const killRun = async (
  folder: string,
  camera: 'card' | 'studio',
  kills: number,
  seed: number,
): Promise<KillReport> => {
  const random = randomFrom(seed);
  const shoot = path.join(folder, 'window-light');
  const journal = path.join(shoot, 'shoot.jsonl');
  const report: KillReport = {
    seed,
    kills,
    during: {},
    torn: 0,
    attempts: 0,
    frames: 0,
    strays: 0,
    fetchedLater: 0,
    wrong: [],
  };
  const {wrong} = report;
  let before = Buffer.alloc(0);
  let entriesBefore = 0;

  const look = (): Entry[] => {
    const {bytes, entries, torn} = readJournal(journal, wrong);
    if (!bytes.subarray(0, before.length).equals(before)) wrong.push('Entries that were there are gone or changed.');
    if (torn.length > 0) report.torn += 1;
    checkFiles(shoot, entries, camera, wrong);
    const begun = new Set(
      entries.slice(entriesBefore).flatMap(({kind, attempt}) => (kind === 'attempt-begun' ? [attempt] : [])),
    );
    const later = entries
      .slice(entriesBefore)
      .filter(({kind, attempt}) => kind === 'frame-pulled' && !begun.has(attempt));
    report.fetchedLater += new Set(later.map(({attempt}) => attempt)).size;
    before = Buffer.from(bytes);
    entriesBefore = entries.length;
    return entries;
  };

  const program: Transpiled = await transpileProgram();
  const load = (): Evening => loadEvening(program.folder, folder, camera, 'go-on');
  let next = load();
  for (let kill = 0; kill < kills; kill++) {
    const evening = next;
    const some = camera === 'card' ? withProbes : instants;
    const instant = some[Math.floor(random() * some.length)]!;
    const soon = random() * soonMs(instant);
    const reached = instant === 'opening' ? Promise.resolve() : evening.reaches(instant);
    evening.begin();
    next = load();
    if (!(await within(NEVER_MS, reached))) {
      wrong.push(`It never came to ${instant}; it stays at ${evening.lastSeen()}: ${evening.errors().slice(-400)}`);
      kill = kills;
    }
    await new Promise(resolve => setTimeout(resolve, soon));
    const during = evening.lastSeen();
    evening.kill();
    if ((await evening.ended) !== null) {
      wrong.push(`The program ended by itself (${during}): ${evening.errors().slice(-400)}`);
    }
    report.during[during] = (report.during[during] ?? 0) + 1;
    look();
  }
  next.kill();
  await next.ended;

  const last = loadEvening(program.folder, folder, camera, 'until-quiet');
  last.begin();
  if (!(await within(NEVER_MS, last.ended))) last.kill();
  if ((await last.ended) !== 0) wrong.push(`The last run did not end well: ${last.errors().slice(-400)}`);
  await program.remove();
  const entries = look();
  const pulled = entries.flatMap(({file}) => (file ? [file.nameOnCamera] : []));
  report.attempts = entries.filter(({kind}) => kind === 'attempt-begun').length;
  report.frames = pulled.length;
  report.strays = entries.filter(({kind}) => kind === 'stray-pulled').length;
  if (camera === 'card') checkAttempts(path.join(folder, 'card'), entries, wrong);
  if (new Set(pulled).size !== pulled.length) wrong.push('A frame was pulled into the shoot twice.');
  const card = path.join(folder, 'card');
  const made =
    camera === 'card'
      ? [...framesOnCard(card).keys()].filter(name => !isProbe(card, name))
      : readdirSync(path.join(folder, 'card')).filter(name => name.endsWith('.JPG'));
  for (const name of made)
    if (!pulled.includes(name)) wrong.push(`${name} is on the camera's card and not in the shoot.`);
  if (allFiles(shoot).some(name => path.basename(name).startsWith('.pulling-')))
    wrong.push('Half-written files were left lying about.');
  return report;
};

/** The report as lines of text. */
export const printReport = (report: KillReport): string =>
  [
    `seed ${report.seed}: ${report.kills} kills; ${report.attempts} attempts, ${report.frames} frames, ${report.torn} torn last lines, ` +
      `frames of ${report.fetchedLater} attempts fetched after a restart, ${report.strays} strays`,
    `  killed during: ${Object.entries(report.during)
      .sort((one, other) => other[1] - one[1])
      .map(([what, count]) => `${what} ${count}`)
      .join(', ')}`,
    ...(report.wrong.length === 0 ? ['  nothing was lost'] : report.wrong.map(what => `  WRONG: ${what}`)),
  ].join('\n');
