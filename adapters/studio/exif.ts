/** What the camera writes into its pictures. */
export type ExifFacts = {
  maker: string;
  model: string;
  serial: string;
  lens: string;
  takenAt: Date;
  shutterSeconds: number;
  fNumber: number;
  iso: number;
  focalMillimetres: number;
  width: number;
  height: number;
};

type Entry = {tag: number; type: number; count: number; bytes: Buffer};

const BYTE_TYPE = {ascii: 2, short: 3, long: 4, rational: 5, undefined: 7, signedRational: 10} as const;

const ascii = (tag: number, text: string): Entry => {
  const bytes = Buffer.from(`${text}\0`, 'latin1');
  return {tag, type: BYTE_TYPE.ascii, count: bytes.length, bytes};
};

const short = (tag: number, value: number): Entry => {
  const bytes = Buffer.alloc(2);
  bytes.writeUInt16LE(value);
  return {tag, type: BYTE_TYPE.short, count: 1, bytes};
};

const long = (tag: number, value: number): Entry => {
  const bytes = Buffer.alloc(4);
  bytes.writeUInt32LE(value);
  return {tag, type: BYTE_TYPE.long, count: 1, bytes};
};

/** A fraction as Exif wants it: 8 s as 8/1, 1/125 s as 1/125, the rest in millionths. */
const fractionOf = (value: number): [number, number] => {
  if (Number.isInteger(value)) return [value, 1];
  const reciprocal = 1 / value;
  if (value > 0 && value < 1 && Math.abs(reciprocal - Math.round(reciprocal)) < 1e-6 * reciprocal)
    return [1, Math.round(reciprocal)];
  if (Math.abs(value * 10 - Math.round(value * 10)) < 1e-9) return [Math.round(value * 10), 10];
  return Math.abs(value) < 2000 ? [Math.round(value * 1e6), 1e6] : [Math.round(value * 1000), 1000];
};

const rational = (tag: number, value: number): Entry => {
  const bytes = Buffer.alloc(8);
  const [over, under] = fractionOf(value);
  bytes.writeUInt32LE(over, 0);
  bytes.writeUInt32LE(under, 4);
  return {tag, type: BYTE_TYPE.rational, count: 1, bytes};
};

const signedRational = (tag: number, value: number): Entry => {
  const bytes = Buffer.alloc(8);
  const [over, under] = fractionOf(value);
  bytes.writeInt32LE(over, 0);
  bytes.writeInt32LE(under, 4);
  return {tag, type: BYTE_TYPE.signedRational, count: 1, bytes};
};

const undefinedBytes = (tag: number, text: string): Entry => {
  const bytes = Buffer.from(text, 'latin1');
  return {tag, type: BYTE_TYPE.undefined, count: bytes.length, bytes};
};

/** One directory at `offset` of the TIFF block; values over four bytes follow it. */
const directory = (entries: Entry[], offset: number): Buffer => {
  const sorted = [...entries].sort((a, b) => a.tag - b.tag);
  const head = Buffer.alloc(2 + sorted.length * 12 + 4);
  const tails: Buffer[] = [];
  let next = offset + head.length;
  head.writeUInt16LE(sorted.length, 0);
  for (const [i, entry] of sorted.entries()) {
    const at = 2 + i * 12;
    head.writeUInt16LE(entry.tag, at);
    head.writeUInt16LE(entry.type, at + 2);
    head.writeUInt32LE(entry.count, at + 4);
    if (entry.bytes.length <= 4) {
      entry.bytes.copy(head, at + 8);
    } else {
      head.writeUInt32LE(next, at + 8);
      const padded = entry.bytes.length % 2 === 0 ? entry.bytes : Buffer.concat([entry.bytes, Buffer.alloc(1)]);
      tails.push(padded);
      next += padded.length;
    }
  }
  return Buffer.concat([head, ...tails]);
};

const two = (value: number): string => String(value).padStart(2, '0');
const dateText = (at: Date): string =>
  `${at.getFullYear()}:${two(at.getMonth() + 1)}:${two(at.getDate())} ${two(at.getHours())}:${two(at.getMinutes())}:${two(at.getSeconds())}`;
const offsetText = (at: Date): string => {
  const minutes = -at.getTimezoneOffset();
  const size = Math.abs(minutes);
  return `${minutes < 0 ? '-' : '+'}${two(Math.floor(size / 60))}:${two(size % 60)}`;
};

/**
 * The APP1 segment of a JPEG with these facts, marker included. Tags: CIPA DC-008 (Exif 2.31); APEX values: Tv = −log2 t,
 * Av = log2 N².
 */
export const exifSegment = (facts: ExifFacts): Buffer => {
  const at = dateText(facts.takenAt);
  const milliseconds = String(facts.takenAt.getMilliseconds()).padStart(3, '0');
  const detail = [
    rational(0x829a, facts.shutterSeconds),
    rational(0x829d, facts.fNumber),
    short(0x8822, 1),
    short(0x8827, Math.min(65_535, Math.round(facts.iso))),
    short(0x8830, 2),
    long(0x8832, Math.round(facts.iso)),
    undefinedBytes(0x9000, '0231'),
    ascii(0x9003, at),
    ascii(0x9004, at),
    ascii(0x9010, offsetText(facts.takenAt)),
    ascii(0x9011, offsetText(facts.takenAt)),
    ascii(0x9291, milliseconds),
    signedRational(0x9201, -Math.log2(facts.shutterSeconds)),
    rational(0x9202, 2 * Math.log2(facts.fNumber)),
    signedRational(0x9204, 0),
    rational(0x920a, facts.focalMillimetres),
    undefinedBytes(0x9101, '\u0001\u0002\u0003\u0000'),
    undefinedBytes(0xa000, '0100'),
    short(0xa001, 1),
    long(0xa002, facts.width),
    long(0xa003, facts.height),
    short(0xa402, 1),
    short(0xa403, 1),
    ascii(0xa431, facts.serial),
    ascii(0xa434, facts.lens),
  ];
  const main = (pointer: number): Entry[] => [
    ascii(0x010f, facts.maker),
    ascii(0x0110, facts.model),
    short(0x0112, 1),
    rational(0x011a, 72),
    rational(0x011b, 72),
    short(0x0128, 2),
    short(0x0213, 1),
    ascii(0x0132, at),
    long(0x8769, pointer),
  ];
  const mainLength = directory(main(0), 8).length;
  const tiff = Buffer.concat([
    Buffer.from([0x49, 0x49, 0x2a, 0, 8, 0, 0, 0]),
    directory(main(8 + mainLength), 8),
    directory(detail, 8 + mainLength),
  ]);
  const body = Buffer.concat([Buffer.from('Exif\0\0', 'latin1'), tiff]);
  const head = Buffer.from([0xff, 0xe1, 0, 0]);
  head.writeUInt16BE(body.length + 2, 2);
  return Buffer.concat([head, body]);
};

/** Puts a segment right behind the start marker of a JPEG. */
export const withSegment = (jpeg: Buffer, segment: Buffer): Buffer =>
  Buffer.concat([jpeg.subarray(0, 2), segment, jpeg.subarray(2)]);
