import {plainText} from '../../shared/plain-text.js';

/*
 * The texts of a bag (BagIt 1.0, RFC 8493). Paths are relative to the bag, with forward slashes.
 */

export const DECLARATION_NAME = 'bagit.txt';
export const INFO_NAME = 'bag-info.txt';
export const MANIFEST_NAME = 'manifest-sha256.txt';
export const TAG_MANIFEST_NAME = 'tagmanifest-sha256.txt';
export const PAYLOAD_FOLDER = 'data';

export const declaration = 'BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n';

/** SHA-256 by path. */
export type Checksums = ReadonlyMap<string, string>;

/** RFC 8493, 2.1.3: line breaks and percent signs in a path are percent-encoded. */
const encodePath = (path: string): string =>
  path.replace(/[%\r\n]/g, sign => (sign === '%' ? '%25' : sign === '\r' ? '%0D' : '%0A'));
const decodePath = (path: string): string =>
  path.replace(/%(25|0D|0A)/gi, (_, code: string) => String.fromCharCode(Number.parseInt(code, 16)));

/** A manifest, its lines in the order of their paths. */
export const printManifest = (checksums: Checksums): string =>
  [...checksums]
    .sort(([one], [other]) => (one < other ? -1 : 1))
    .map(([path, sha256]) => `${sha256}  ${encodePath(path)}\n`)
    .join('');

/** Reads a manifest. Lines that are none, and paths that leave the bag, are returned as they are. */
export const parseManifest = (text: string): {checksums: Checksums; strange: string[]} => {
  const checksums = new Map<string, string>();
  const strange: string[] = [];
  for (const line of text.split(/\r\n|\r|\n/)) {
    if (line === '') continue;
    const match = /^([0-9a-f]{64})[ \t]+\*?(?:\.\/)?(.+)$/i.exec(line);
    const path = decodePath(match?.[2] ?? '');
    if (!match || path.startsWith('/') || path.includes('\\') || path.split('/').includes('..')) strange.push(line);
    else checksums.set(path, match[1]!.toLowerCase());
  }
  return {checksums, strange};
};

/** bag-info.txt: one "Label: value" a line. */
export const printInfo = (fields: readonly [label: string, value: string][]): string =>
  fields.map(([label, value]) => `${label}: ${plainText(value).trim()}\n`).join('');

/** The value of a field in bag-info.txt, or null. */
export const infoField = (text: string, label: string): string | null => {
  const line = text.split(/\r\n|\r|\n/).find(each => each.toLowerCase().startsWith(`${label.toLowerCase()}:`));
  return line ? line.slice(label.length + 1).trim() : null;
};
