import {existsSync} from 'node:fs';
import {mkdir, readdir, readFile, rm, symlink, writeFile} from 'node:fs/promises';
import path from 'node:path';
import type {JournalEntry} from '../../../shared/journal.js';
import {attemptSummary} from '../../../src/judge/compare.js';
import {printLine, readLine} from '../../../src/shoot/journal-line.js';
import {safeName} from '../../../src/shoot/names.js';
import {openShoot, readShoot} from '../../../src/shoot/open-shoot.js';
import {pullFrame, removeLeftovers} from '../../../src/shoot/pull.js';
import {attemptsCsv, attemptsJson} from '../../../src/wrap/export-attempts.js';
import {summariseShoot} from '../../../src/wrap/look-back.js';
import {slug} from '../../../src/wrap/picture-names.js';
import {verifyBag} from '../../../src/wrap/verify-bag.js';
import {verifyShoot} from '../../../src/wrap/verify-shoot.js';
import {shortEvening} from '../../shoot/entries.js';
import {fakeCamera, jumpingClock} from '../../shoot/fakes.js';
import {bent, hostileText} from './hostile.js';
import {Finding, type FuzzKind, mustBeFit, survives} from './kind.js';
import {mutated, type Random} from './random.js';

const stamped = (): JournalEntry[] =>
  shortEvening(2).map(
    (event, index) => ({v: 1, at: `2026-11-25T20:00:${10 + (index % 50)}.000Z`, ...event}) as JournalEntry,
  );

/** One line of a journal, damaged, hostile, of another program, or with a sum that is right over what is wrong. */
const hostileLine = (entry: JournalEntry, random: Random): Buffer => {
  const kind = random.whole(0, 5);
  if (kind === 0) return printLine(entry);
  const wrong = bent(entry, random, random.pick([0.02, 0.06, 0.2]));
  const text = JSON.stringify(wrong) ?? 'null';
  if (kind === 1) return mutated(printLine(entry), random);
  if (kind === 2)
    return Buffer.from(`${random.pick(['[', '{"a":'])}`.repeat(random.whole(1, 30_000)) + hostileText(random, 20));
  if (kind === 3) {
    const deep = `${'['.repeat(20_000)}"\\u001b"${']'.repeat(20_000)}`;
    return random.chance(0.02) ? Buffer.from(`{"v":1,"kind":"noted","text":${deep}}\n`) : Buffer.from(`${text}\n`);
  }
  // A sum that is right.
  if (kind === 4 && wrong !== null && typeof wrong === 'object') return printLine(wrong as JournalEntry);
  return Buffer.from(`${text}\n`);
};

const lineKind: FuzzKind = {
  name: 'journal lines',
  share: 8,
  async open() {
    const entries = stamped();
    return {
      async try(random) {
        const line = hostileLine(random.pick(entries), random);
        const read = await survives('reading a line', () => readLine(line.at(-1) === 10 ? line.subarray(0, -1) : line));
        if (read?.is === 'entry') mustBeFit('an entry', textsIn(read.entry));
      },
    };
  },
};

/** All texts of a value, one after the other. */
const textsIn = (value: unknown): string => {
  if (typeof value === 'string') return value;
  if (value === null || typeof value !== 'object') return '';
  return Object.entries(value)
    .map(([key, inner]) => `${Array.isArray(value) ? '' : key} ${textsIn(inner)}`)
    .join(' ');
};

/** What lies beside the shoot must stay as it was. */
const guardOf = async (folder: string) => {
  await writeFile(path.join(folder, 'beside.txt'), 'untouched');
  return async (): Promise<void> => {
    const names = (await readdir(folder)).sort().join(' ');
    if (names !== 'beside.txt shoot') throw new Finding(`something lies beside the shoot: ${names}`);
    if ((await readFile(path.join(folder, 'beside.txt'), 'utf8')) !== 'untouched')
      throw new Finding('a file beside the shoot was changed');
  };
};

const journalKind: FuzzKind = {
  name: 'whole journals',
  share: 3,
  async open(folder) {
    const entries = stamped();
    const shootFolder = path.join(folder, 'shoot');
    const guard = await guardOf(folder);
    return {
      async try(random) {
        await rm(shootFolder, {recursive: true, force: true});
        await mkdir(shootFolder);
        const lines = entries.map(entry => (random.chance(0.4) ? hostileLine(entry, random) : printLine(entry)));
        const file = path.join(shootFolder, 'shoot.jsonl');
        await writeFile(file, random.chance(0.2) ? mutated(Buffer.concat(lines), random) : Buffer.concat(lines));
        const seen = await survives('reading a shoot', () => readShoot(shootFolder));
        if (seen) {
          const {shoot} = seen;
          await survives('listing', () => {
            mustBeFit('a summary', summariseShoot(shoot).join(' '));
            for (const attempt of shoot.attempts) {
              mustBeFit('changes', attempt.changes.join(' '));
              if (attempt.reading) mustBeFit('a verdict', attemptSummary(attempt.reading.checks));
            }
            mustBeFit('a table', attemptsCsv(shoot).replaceAll('\r\n', '\n'), 'many');
            JSON.parse(attemptsJson(shoot));
          });
        }
        const found = await survives('verifying', () => verifyShoot(shootFolder));
        for (const say of [...(found?.problems ?? []), ...(found?.notes ?? [])]) mustBeFit('verify', say);
        const open = await survives('opening', () => openShoot(shootFolder, {program: 'darkset test'}));
        if (open) {
          for (const finding of open.findings) mustBeFit('a finding', finding);
          await survives('tidying', () => removeLeftovers(shootFolder));
          await survives('appending', () => open.append({kind: 'noted', attempt: 1, text: hostileText(random, 40)}));
          await open.close();
          const again = await survives('reading again', () => readShoot(shootFolder));
          if (again && again.shoot.begunAt === '') throw new Finding('a shoot that was opened and is none');
        }
        await guard();
      },
    };
  },
};

const cameraNameKind: FuzzKind = {
  name: 'names from the camera',
  share: 5,
  async open(folder) {
    const shootFolder = path.join(folder, 'shoot');
    await mkdir(shootFolder);
    const guard = await guardOf(folder);
    const clock = jumpingClock();
    return {
      async try(random) {
        await rm(path.join(shootFolder, 'attempts'), {recursive: true, force: true});
        if (random.chance(0.05)) await symlink(folder, path.join(shootFolder, 'attempts'));
        const name = hostileText(random, random.pick([10, 60, 300]));
        const camera = fakeCamera({clock, frameBytes: 64});
        const frame = {...camera.makeByHand(name), folder: hostileText(random, 30)};
        const request = {
          camera,
          frame,
          shootFolder,
          into: 'attempts/001',
          known: new Set<string>(),
          progress: () => undefined,
          signal: new AbortController().signal,
        };
        for (let time = 0; time < 2; time++) {
          const file = await survives('pulling', () => pullFrame({...request, known: new Set(time ? ['x'] : [])}));
          if (!file) continue;
          mustBeFit('a path', file.path);
          mustBeFit('a name', file.nameOnCamera);
          if (!existsSync(path.join(shootFolder, file.path)) || file.path.split('/').length !== 3)
            throw new Finding(`${JSON.stringify(name)} went to ${JSON.stringify(file.path)}`);
        }
        const slugged = slug(name);
        if (/[/\\\0]|^\.|^-/.test(slugged)) throw new Finding(`${JSON.stringify(name)} is handed off as ${slugged}`);
        if (safeName(safeName(name)) !== safeName(name))
          throw new Finding(`${JSON.stringify(name)} is made safe twice`);
        await guard();
      },
    };
  },
};

const folderKind: FuzzKind = {
  name: 'names of shoot folders',
  share: 2,
  async open(folder) {
    return {
      async try(random) {
        // What a person names is theirs to choose, so it is kept below this folder here.
        const name = hostileText(random, 60).replace(/[/]/g, '_').slice(0, 120);
        const shootFolder = path.join(folder, `s${name}`);
        const open = await survives('opening', () => openShoot(shootFolder, {program: 'darkset test'}));
        if (open) {
          const second = await survives('opening twice', () => openShoot(shootFolder, {program: 'darkset test'}));
          if (second) throw new Finding('two programs in one shoot');
          mustBeFit('the name', open.shoot().name);
          await open.close();
        }
        await survives('reading', () => readShoot(path.join(folder, `t${name}`)));
        await rm(shootFolder, {recursive: true, force: true}).catch(() => undefined);
      },
    };
  },
};

const bagKind: FuzzKind = {
  name: 'manifests and locks',
  share: 2,
  async open(folder) {
    const sum = 'ab'.repeat(32);
    const shootFolder = path.join(folder, 'shoot');
    await mkdir(path.join(folder, 'data'));
    await writeFile(path.join(folder, 'bagit.txt'), 'BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n');
    const holder = {token: 'other', pid: 4_000_000, host: 'attic', since: '2026-11-25T20:00:00Z', mark: null};
    return {
      async try(random) {
        const lines = Array.from({length: 4}, () => `${sum}  ${random.pick(['data/', ''])}${hostileText(random, 40)}`);
        await writeFile(path.join(folder, 'manifest-sha256.txt'), mutated(Buffer.from(lines.join('\n')), random));
        for (const say of (await verifyBag(folder)).problems) mustBeFit('verify', say);

        await mkdir(shootFolder, {recursive: true});
        const text = JSON.stringify(bent(holder, random, 0.2));
        const lock = random.chance(0.5) ? Buffer.from(text) : mutated(Buffer.from(text), random);
        await writeFile(path.join(shootFolder, 'shoot.lock'), lock);
        // A lock that nobody can read waits until it has settled, so only few are tried for real.
        if (!random.chance(0.1)) return;
        const open = await survives('opening', () => openShoot(shootFolder, {program: 'darkset test'}));
        await open?.close();
        await rm(shootFolder, {recursive: true, force: true});
      },
    };
  },
};

export const shootKinds: FuzzKind[] = [lineKind, journalKind, cameraNameKind, folderKind, bagKind];
