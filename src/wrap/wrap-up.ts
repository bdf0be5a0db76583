import {rm} from 'node:fs/promises';
import path from 'node:path';
import type {ShootFile} from '../../shared/journal.js';
import {plainText} from '../../shared/plain-text.js';
import {freeBytes} from '../shoot/disk.js';
import {insideReally, safePath} from '../shoot/names.js';
import {byteSize} from '../shoot/units.js';
import {attemptDescription} from './attempt-words.js';
import {bagIdentity, makeFolder, printIdentity} from './bag-folder.js';
import {
  DECLARATION_NAME,
  declaration,
  INFO_NAME,
  MANIFEST_NAME,
  PAYLOAD_FOLDER,
  printInfo,
  printManifest,
  TAG_MANIFEST_NAME,
} from './bag-text.js';
import {makeDocuments} from './documents.js';
import type {NamedPicture} from './picture-names.js';
import {planWrap, type WrapPlan, type WrapRequest} from './plan-wrap.js';
import {copyVerified, type Expected, WRAPPING_PREFIX, writeDocument} from './safe-write.js';
import {xmpSidecar} from './sidecar.js';
import {changedFiles, payloadFiles} from './verify-bag.js';
import {WrapFault} from './wrap-fault.js';

export type WrapInput = WrapRequest & {
  /** Called before each file with how many are done, and once when all are. */
  progress(files: number, of: number, file: string): void;
  signal: AbortSignal;
  /** Who made the pictures, for the sidecars. */
  creator?: string;
  /** The wall clock. */
  now?: () => Date;
};

/** The bag's folder, absolute, and the pictures in it, their paths relative to the bag. */
export type Wrapped = {folder: string; files: ShootFile[]};

/** What has been written, by its path in the bag. */
type Written = Map<string, Expected>;

const PICTURES = `${PAYLOAD_FOLDER}/pictures`;
/** Room for the sheets beside the pictures: some of it for each attempt's small picture and readings, thrice over. */
const SHEET_BYTES = 5_000_000;
const SHEET_BYTES_AN_ATTEMPT = 200_000;

/**
 * Hands off the kept attempts: their files with sidecars, the contact sheet, the set-up sheet and the readings, as a
 * bag (BagIt 1.0, RFC 8493) whose every file was read back. Stopped or interrupted, it goes on from there the next
 * time. The camera's files in the shoot are only read.
 * @throws WrapFault in one sentence
 */
export const wrapUp = async (input: WrapInput): Promise<Wrapped> => {
  const {progress, signal} = input;
  const plan = await planWrap(input);
  const steps = plan.pictures.length + 1;
  const written: Written = new Map();
  try {
    signal.throwIfAborted();
    await makeFolder(plan.folder);
    await refuseFullDisk(input, plan);
    await beginBag(input, plan);
    for (const [index, picture] of plan.pictures.entries()) {
      progress(index, steps, picture.name);
      await copyPicture(input, plan, picture, written);
    }
    progress(plan.pictures.length, steps, 'sidecars');
    await writeSidecars(input, plan, written);
    await writeSheets(input, plan, written);
    await finishBag(input, plan, written);
    progress(steps, steps, '');
  } catch (error) {
    if (!signal.aborted || error instanceof WrapFault) throw error;
    throw new WrapFault('The wrap was stopped. What was copied stays; wrapping again goes on from there.');
  }
  return {folder: plan.folder, files: plan.pictures.map(({file, name}) => ({...file, path: `${PICTURES}/${name}`}))};
};

const refuseFullDisk = async ({shoot}: WrapInput, plan: WrapPlan): Promise<void> => {
  const free = await freeBytes(plan.folder);
  const there = await payloadFiles(plan.folder);
  const missing = plan.pictures.filter(({name}) => !there.includes(`${PICTURES}/${name}`));
  const sheets = SHEET_BYTES + shoot.attempts.length * SHEET_BYTES_AN_ATTEMPT;
  const needed = missing.reduce((sum, {file}) => sum + file.bytes, sheets);
  if (free !== null && free < needed) {
    throw new WrapFault(
      `The wrap needs ${byteSize(needed)} and the disk of ${plainText(plan.folder)} has ${byteSize(free)} left; ` +
        'free some space or choose another folder.',
    );
  }
};

const bagInfo = ({shoot}: WrapInput, plan: WrapPlan): [string, string][] => [
  ['External-Identifier', printIdentity(bagIdentity(shoot, plan.pictures))],
  ['External-Description', `Pictures of the shoot ${shoot.name}, with contact sheet, set-up sheet and readings`],
  ['Bag-Software-Agent', 'darkset'],
];

/** What somebody has changed in a finished hand-off, a sidecar's rating say, is theirs and not written over. */
const refuseChanged = async (folder: string): Promise<void> => {
  const changed = await changedFiles(folder);
  if (changed.length > 0) {
    throw new WrapFault(
      `${plainText(changed[0]!)} in ${plainText(folder)} was changed since it was handed off; it is left alone. ` +
        'Move that folder away, or choose another.',
    );
  }
};

/** Until the manifest stands, the bag is marked as ours and as not finished. */
const beginBag = async (input: WrapInput, plan: WrapPlan): Promise<void> => {
  await refuseChanged(plan.folder);
  await writeDocument(path.join(plan.folder, INFO_NAME), printInfo(bagInfo(input, plan)));
  await writeDocument(path.join(plan.folder, DECLARATION_NAME), declaration);
  for (const name of [MANIFEST_NAME, TAG_MANIFEST_NAME]) await rm(path.join(plan.folder, name), {force: true});
};

const copyPicture = async (
  {shootFolder, signal}: WrapInput,
  plan: WrapPlan,
  {file, name}: NamedPicture,
  written: Written,
): Promise<void> => {
  const from = safePath(shootFolder, file.path);
  await insideReally(shootFolder, path.dirname(from)).catch(error => {
    // A folder that is gone is told by the copy, with the file's name.
    if (error instanceof Error && 'code' in error) return;
    throw error;
  });
  const target = `${PICTURES}/${name}`;
  const {bytes, sha256} = file;
  await copyVerified(from, path.join(plan.folder, target), {bytes, sha256}, signal);
  written.set(target, {bytes, sha256});
};

/** One sidecar an exposure: a RAW file and its JPEG share it. A camera's own sidecar stays. */
const writeSidecars = async (input: WrapInput, {folder, pictures}: WrapPlan, written: Written): Promise<void> => {
  const {shoot, creator = null} = input;
  const writtenAt = wallClock(input);
  for (const {attempt, name} of pictures) {
    const target = `${PICTURES}/${path.posix.parse(name).name}.xmp`;
    if (written.has(target)) continue;
    const packet = xmpSidecar({
      title: `${shoot.name}, attempt ${attempt.number}`,
      description: attemptDescription(attempt, shoot.name),
      mark: attempt.mark,
      creator,
      writtenAt,
    });
    written.set(target, await writeDocument(path.join(folder, target), packet));
  }
};

const writeSheets = async (input: WrapInput, plan: WrapPlan, written: Written): Promise<void> => {
  const step = plan.pictures.length;
  const onPicture = (attempt: number): void => input.progress(step, step + 1, `contact sheet, attempt ${attempt}`);
  for (const {name, content} of await makeDocuments(input, input.signal, onPicture)) {
    input.signal.throwIfAborted();
    const target = `${PAYLOAD_FOLDER}/${name}`;
    written.set(target, await writeDocument(path.join(plan.folder, target), content));
  }
};

/** Declares the bag whole. Its manifest is written last but for the list of these few texts themselves. */
const finishBag = async (input: WrapInput, plan: WrapPlan, written: Written): Promise<void> => {
  const {folder} = plan;
  await refuseStrangers(folder, written);
  const oxum = [...written.values()].reduce((sum, {bytes}) => sum + bytes, 0);
  const info = printInfo([
    ...bagInfo(input, plan),
    ['Bagging-Date', wallClock(input).slice(0, 10)],
    ['Payload-Oxum', `${oxum}.${written.size}`],
  ]);
  const sums = new Map([...written].map(([file, {sha256}]) => [file, sha256]));
  const texts: [string, string][] = [
    [DECLARATION_NAME, declaration],
    [INFO_NAME, info],
    [MANIFEST_NAME, printManifest(sums)],
  ];
  const tags = new Map<string, string>();
  for (const [name, text] of texts) tags.set(name, (await writeDocument(path.join(folder, name), text)).sha256);
  await writeDocument(path.join(folder, TAG_MANIFEST_NAME), printManifest(tags));
};

/** A bag holds what its manifest lists and nothing else. Our own unfinished copies go; anything else is told. */
const refuseStrangers = async (folder: string, written: Written): Promise<void> => {
  const strangers = (await payloadFiles(folder)).filter(file => !written.has(file));
  for (const file of strangers) {
    if (!path.posix.basename(file).startsWith(WRAPPING_PREFIX)) {
      throw new WrapFault(
        `${plainText(file)} in ${plainText(folder)} does not belong to this wrap; move it away and wrap again.`,
      );
    }
    await rm(path.join(folder, file), {force: true});
  }
};

const wallClock = ({now = () => new Date()}: WrapInput): string => now().toISOString();
