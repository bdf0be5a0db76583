import {createHash} from 'node:crypto';
import {crc32, deflateSync} from 'node:zlib';
import sharp from 'sharp';

/*
 * Many pictures carry a colour profile that only says what is taken for granted without one: sRGB. Going through it
 * anyway would double the time of decoding. Whether a profile does nothing is not read from its name but tried.
 */

/** Codes along each edge of the cube of colours that is sent through a profile. */
const EDGE = 16;
/** By so many codes may a colour differ on the way there and back. */
const ROUNDING = 1;

const cubeOfColours = (): Uint8Array => {
  const rgb = new Uint8Array(3 * EDGE ** 3);
  for (let n = 0, at = 0; n < EDGE ** 3; n++) {
    for (const step of [n % EDGE, Math.floor(n / EDGE) % EDGE, Math.floor(n / EDGE ** 2)]) {
      rgb[at++] = Math.round((step * 255) / (EDGE - 1));
    }
  }
  return rgb;
};

const pngChunk = (type: string, data: Buffer): Buffer => {
  const typed = Buffer.concat([Buffer.from(type, 'latin1'), data]);
  const chunk = Buffer.alloc(typed.length + 8);
  chunk.writeUInt32BE(data.length, 0);
  typed.copy(chunk, 4);
  chunk.writeUInt32BE(crc32(typed), typed.length + 4);
  return chunk;
};

/** Where a PNG's header chunk ends: its signature, and 13 bytes in their frame of length, type and check sum. */
const AFTER_HEADER = 8 + 25;

const doesNothing = async (profile: Buffer): Promise<boolean> => {
  const rgb = cubeOfColours();
  const raw = {width: EDGE ** 2, height: EDGE, channels: 3} as const;
  const plain = await sharp(rgb, {raw}).png({compressionLevel: 0}).toBuffer();
  // A profile's name, how it is packed, and the profile.
  const named = Buffer.concat([Buffer.from('profile\0\0', 'latin1'), deflateSync(profile, {level: 1})]);
  const labelled = Buffer.concat([
    plain.subarray(0, AFTER_HEADER),
    pngChunk('iCCP', named),
    plain.subarray(AFTER_HEADER),
  ]);
  const through = await sharp(labelled).toColourspace('srgb').raw().toBuffer();
  return through.length === rgb.length && rgb.every((code, i) => Math.abs(through[i]! - code) <= ROUNDING);
};

/** Answers by the profile's hash. A camera's files all carry the same few. */
const known = new Map<string, Promise<boolean>>();
const MOST_KNOWN = 32;

/**
 * Whether a colour profile leaves colours as sRGB has them, to one code of 255.
 * @param profile an ICC profile; one that the decoder passes over does nothing
 */
export const isPlainProfile = (profile: Buffer): Promise<boolean> => {
  const hash = createHash('sha256').update(profile).digest('base64');
  let answer = known.get(hash);
  if (!answer) {
    if (known.size >= MOST_KNOWN) known.clear();
    answer = doesNothing(profile).catch(() => false);
    known.set(hash, answer);
  }
  return answer;
};
