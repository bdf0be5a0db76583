import {mkdir, readdir, stat} from 'node:fs/promises';
import path from 'node:path';
import {plainText} from '../../shared/plain-text.js';
import {diskTrouble, errorCode} from './disk.js';
import {applyEntry, shootFold} from './fold.js';
import {type Journal, openJournal, tooNew} from './journal.js';
import {replayJournal} from './journal-replay.js';
import {type Lock, lockShoot} from './lock.js';
import {ShootFault} from './shoot-fault.js';
import type {Shoot} from './state.js';

export const JOURNAL_NAME = 'shoot.jsonl';

/** An open shoot: its fold, always the journal's newest, and the only way to add to it. */
export type OpenShoot = {
  /** The shoot's folder, absolute. */
  folder: string;
  shoot(): Shoot;
  append: Journal['append'];
  /** What was found on opening that a person should know, each a sentence. */
  findings: string[];
  /** Whether this opening made the shoot. */
  created: boolean;
  close(): Promise<void>;
};

/**
 * Opens a shoot's folder for this program alone, making the folder and its journal where there are none.
 * @param program name and version of this program, for the journal
 * @param now the wall clock
 * @throws ShootFault (also LockFault) or JournalFault: one sentence each
 */
export const openShoot = async (
  folder: string,
  {program, now = () => new Date()}: {program: string; now?: () => Date},
): Promise<OpenShoot> => {
  const root = path.resolve(folder);
  await makeFolder(root);
  const lock = await lockShoot(root, now);
  let journal: Journal | null = null;
  try {
    const fold = shootFold();
    journal = await openJournal(path.join(root, JOURNAL_NAME), fold.take, now);
    const kept = keeper(journal, fold.shoot());
    const created = kept.shoot().begunAt === '';
    if (created) await begin(root, journal, kept, program);
    return {
      folder: root,
      ...kept,
      findings: [...afterCrash(lock), ...journal.findings],
      created,
      close: () => closeBoth(journal!, lock),
    };
  } catch (error) {
    await closeBoth(journal, lock);
    throw error;
  }
};

/**
 * Reads a shoot without locking or changing anything, also while another program has it open.
 * @throws ShootFault
 */
export const readShoot = async (folder: string): Promise<{shoot: Shoot; folder: string; damagedLines: number[]}> => {
  const root = path.resolve(folder);
  const fold = shootFold();
  try {
    const file = path.join(root, JOURNAL_NAME);
    const found = await replayJournal(file, fold.take);
    if (found.begunInVersion !== null) throw tooNew(file, found.begunInVersion);
    const shoot = fold.shoot();
    if (shoot.begunAt === '') throw noShoot(root);
    return {shoot, folder: root, damagedLines: found.damaged.map(({line}) => line)};
  } catch (error) {
    if (error instanceof ShootFault) throw error;
    if (['ENOENT', 'ENOTDIR', 'EISDIR'].includes(errorCode(error))) throw noShoot(root);
    throw new ShootFault(`The shoot ${plainText(root)} can't be read: ${diskTrouble(error)}.`);
  }
};

const noShoot = (root: string): ShootFault =>
  new ShootFault(
    `There is no shoot in ${plainText(root)}; open it once with "darkset ${plainText(path.basename(root))}".`,
  );

const keeper = (journal: Journal, replayed: Shoot): Pick<OpenShoot, 'shoot' | 'append'> => {
  let shoot = replayed;
  return {
    shoot: () => shoot,
    async append(event) {
      const entry = await journal.append(event);
      shoot = applyEntry(shoot, entry);
      return entry;
    },
  };
};

const begin = async (
  root: string,
  journal: Journal,
  {append, shoot}: Pick<OpenShoot, 'shoot' | 'append'>,
  program: string,
): Promise<void> => {
  if (shoot().attempts.length > 0 || shoot().planned) {
    journal.findings.push("The journal's first entry is missing; the rest is used as it is.");
  }
  await append({kind: 'shoot-begun', name: path.basename(root).slice(0, 200), program});
};

const afterCrash = (lock: Lock): string[] =>
  lock.tookOver ? ['The program did not end properly last time; everything that was written is here.'] : [];

const closeBoth = async (journal: Journal | null, lock: Lock): Promise<void> => {
  await journal?.close().catch(() => undefined);
  await lock.release();
};

const makeFolder = async (root: string): Promise<void> => {
  if (root.includes('\0')) throw new ShootFault('The folder name holds a character that no folder can have.');
  const found = await stat(root).catch(() => null);
  if (found && !found.isDirectory()) {
    throw new ShootFault(`${plainText(root)} is a file; name a folder for the shoot.`);
  }
  try {
    if (!found) await makeAll(root);
    await readdir(root);
  } catch (error) {
    throw new ShootFault(`The shoot's folder ${plainText(root)} can't be used: ${diskTrouble(error)}.`);
  }
};

/** Makes a folder and those above it. Node's own recursive mkdir calls every refusal a missing folder. */
const makeAll = async (folder: string): Promise<void> => {
  try {
    await mkdir(folder);
  } catch (error) {
    const above = path.dirname(folder);
    if (errorCode(error) === 'EEXIST') return;
    if (errorCode(error) !== 'ENOENT' || above === folder) throw error;
    await makeAll(above);
    await mkdir(folder);
  }
};
