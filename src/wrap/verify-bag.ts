import {readdir, stat} from 'node:fs/promises';
import path from 'node:path';
import {plainText} from '../../shared/plain-text.js';
import {readShortText} from '../frame/short-text.js';
import {diskTrouble, errorCode} from '../shoot/disk.js';
import {fileSha256} from '../shoot/pull.js';
import {
  type Checksums,
  DECLARATION_NAME,
  declaration,
  MANIFEST_NAME,
  PAYLOAD_FOLDER,
  parseManifest,
  TAG_MANIFEST_NAME,
} from './bag-text.js';

/** Files of a bag that were looked at, and everything that is wrong, each a sentence. */
export type BagCheck = {files: number; problems: string[]};

/** Checks a hand-off: its declaration, every checksum, and that nothing is missing or has been added. Never rejects. */
export const verifyBag = async (folder: string): Promise<BagCheck> => {
  try {
    return await check(folder);
  } catch (error) {
    return {files: 0, problems: [`${plainText(folder)} can't be read: ${diskTrouble(error)}.`]};
  }
};

const check = async (folder: string): Promise<BagCheck> => {
  const declared = await textOf(folder, DECLARATION_NAME);
  if (declared === null) return {files: 0, problems: [`${plainText(folder)} has no ${DECLARATION_NAME}.`]};
  const manifest = await textOf(folder, MANIFEST_NAME);
  if (manifest === null) {
    return {files: 0, problems: [`${plainText(folder)} has no ${MANIFEST_NAME}: it was not finished. Wrap again.`]};
  }
  const payload = parseManifest(manifest);
  const tags = parseManifest((await textOf(folder, TAG_MANIFEST_NAME)) ?? '');
  const present = await payloadFiles(folder);
  const extra = present.filter(file => !payload.checksums.has(file));
  return {
    files: payload.checksums.size + tags.checksums.size,
    problems: [
      ...(declared === declaration ? [] : [`${DECLARATION_NAME} is not as BagIt 1.0 wants it.`]),
      ...[...payload.strange, ...tags.strange].map(line => `A manifest holds a strange line: ${shown(line)}.`),
      ...(await wrongFiles(folder, payload.checksums)),
      ...(await wrongFiles(folder, tags.checksums)),
      ...extra.map(file => `${shown(file)} is not in the manifest.`),
    ],
  };
};

/** Far more than the manifest of the longest shoot. */
const LONGEST_MANIFEST_BYTES = 100_000_000;

const textOf = async (folder: string, name: string): Promise<string | null> => {
  try {
    return await readShortText(path.join(folder, name), LONGEST_MANIFEST_BYTES);
  } catch (error) {
    if (errorCode(error) === 'ENOENT') return null;
    throw error;
  }
};

const wrongFiles = async (folder: string, checksums: Checksums): Promise<string[]> => {
  const problems: string[] = [];
  for (const [file, sha256] of checksums) {
    const problem = await wrongFile(path.join(folder, file), sha256);
    if (problem) problems.push(`${shown(file)} ${problem}.`);
  }
  return problems;
};

/** Files of a finished hand-off that are not as its manifest says; those that are gone can be made again and count not. */
export const changedFiles = async (folder: string): Promise<string[]> => {
  const {checksums} = parseManifest((await textOf(folder, MANIFEST_NAME)) ?? '');
  const changed: string[] = [];
  for (const [file, sha256] of checksums) {
    const absolute = path.join(folder, file);
    const isThere = (await stat(absolute).catch(() => null)) !== null;
    if (isThere && (await wrongFile(absolute, sha256)) !== null) changed.push(file);
  }
  return changed;
};

/** What is wrong with one file, as the end of a sentence, or null. */
export const wrongFile = async (absolute: string, sha256: string): Promise<string | null> => {
  try {
    if (!(await stat(absolute)).isFile()) return 'is not a file';
    return (await fileSha256(absolute)) === sha256 ? null : 'has changed: its checksum differs';
  } catch (error) {
    return errorCode(error) === 'ENOENT' ? 'is missing' : `can't be read: ${diskTrouble(error)}`;
  }
};

/** Every file under data/, as a path of the bag; none where there is no such folder. */
export const payloadFiles = async (folder: string): Promise<string[]> => {
  const entries = await readdir(path.join(folder, PAYLOAD_FOLDER), {recursive: true, withFileTypes: true}).catch(
    (error: unknown) => {
      if (errorCode(error) === 'ENOENT') return [];
      throw error;
    },
  );
  return entries
    .filter(entry => !entry.isDirectory())
    .map(entry => path.relative(folder, path.join(entry.parentPath, entry.name)).split(path.sep).join('/'));
};

const shown = (text: string): string => plainText(text).slice(0, 160).toWellFormed();
