import {rm, writeFile} from 'node:fs/promises';
import path from 'node:path';
import exifr from 'exifr';
import {jpegIsWhole} from '../../../adapters/inbox/frame-files.js';
import {measurementSchema} from '../../../shared/reading.js';
import {decodeFrame, decodePicture} from '../../../src/frame/decode/decode.js';
import {readExif} from '../../../src/frame/decode/exif.js';
import {measureFrame} from '../../../src/frame/measure.js';
import {loadPlates} from '../../../src/frame/plates.js';
import {bent, hostileText} from './hostile.js';
import {Finding, type FuzzKind, mustBeFit, survives} from './kind.js';
import {mutated, type Random} from './random.js';
import {type SeedPicture, seedPictures} from './seed-pictures.js';

type SeedKind = keyof Awaited<ReturnType<typeof seedPictures>>;

const WIDEST = 1500;
/** Measuring takes much longer than decoding: one in so many. */
const MEASURED_ONE_IN = 30;

/** Decodes, shows and now and then measures one file. */
const look = async (file: string, bytes: Buffer, random: Random): Promise<void> => {
  await writeFile(file, bytes);
  const frame = await survives('decoding', () => decodeFrame(file));
  if (frame) {
    const {image, label, exif} = frame;
    mustBeFit('a label', label);
    if (exif.takenAt !== null) mustBeFit('a time', exif.takenAt);
    if (image.rgb.length !== image.width * image.height * 3 || Math.max(image.width, image.height) > WIDEST)
      throw new Finding(`a frame of ${image.width} × ${image.height} with ${image.rgb.length} samples`);
  }
  if (random.chance(0.3)) {
    const picture = await survives('showing', () => decodePicture(file, random.whole(1, 80), random.whole(1, 40)));
    if (picture && picture.rgb.length !== picture.width * picture.height * 3)
      throw new Finding(`a picture of ${picture.width} × ${picture.height} with ${picture.rgb.length} samples`);
  }
  if (random.whole(1, MEASURED_ONE_IN) === 1) {
    const reading = await survives('measuring', () => measureFrame(file, null, null));
    if (reading) {
      const checked = measurementSchema.safeParse(reading);
      if (!checked.success) throw new Finding(`a reading that is none: ${checked.error.message.slice(0, 300)}`);
      for (const sentence of reading.missing) mustBeFit('what was not measured', sentence);
    }
  }
  await jpegIsWhole(file);
};

const pictureKind = (name: string, share: number, seedKind: SeedKind): FuzzKind => ({
  name,
  share,
  async open(folder) {
    const seeds: SeedPicture[] = (await seedPictures())[seedKind];
    return {
      async try(random) {
        const {bytes, ending} = random.pick(seeds);
        await look(path.join(folder, `frame${ending}`), mutated(bytes, random), random);
      },
    };
  },
});

/** The Exif block alone, and its texts; the picture around it is whole. */
const exifKind: FuzzKind = {
  name: 'Exif',
  share: 10,
  async open(folder) {
    const {jpeg} = await seedPictures();
    const whole = jpeg[0]!.bytes;
    const from = whole.indexOf('Exif\0\0') + 6;
    const length = whole.readUInt16BE(from - 8) - 8;
    return {
      async try(random) {
        let block: Buffer = Buffer.from(whole.subarray(from, from + length));
        if (random.chance(0.5)) block = mutated(block, random);
        const texts = [Buffer.from('2026:11:25 21:04:09'), Buffer.from('+01:00')];
        for (const text of texts) {
          const at = block.indexOf(text);
          if (at >= 0 && random.chance(0.6)) block.write(hostileText(random, text.length), at, text.length, 'utf8');
        }
        block = block.subarray(0, 65_000);
        const head = Buffer.concat([Buffer.from([0xff, 0xe1, 0, 0]), Buffer.from('Exif\0\0'), block]);
        head.writeUInt16BE(head.length - 2, 2);
        const file = Buffer.concat([whole.subarray(0, from - 10), head, whole.subarray(from + length)]);
        const {takenAt} = await readExif(file);
        if (takenAt !== null) {
          mustBeFit('a time', takenAt);
          if (Number.isNaN(Date.parse(takenAt))) throw new Finding(`a time that is none: ${takenAt}`);
        }
        const target = path.join(folder, 'frame.jpg');
        await look(target, file, random);
        // As the watched folder reads it: from the file, piece by piece.
        await exifr.parse(target, ['ExposureTime', 'FNumber', 'ISO']).catch(() => null);
      },
    };
  },
};

const goodZones = {face: {cx: 0.5, cy: 0.4, rx: 0.09, ry: 0.17}};

const zonesKind: FuzzKind = {
  name: 'zones.json and plates',
  share: 4,
  async open(folder) {
    const {jpeg} = await seedPictures();
    await writeFile(path.join(folder, 'dark.jpg'), jpeg[0]!.bytes);
    await writeFile(path.join(folder, 'light-A.jpg'), jpeg[1]!.bytes);
    const frame = path.join(folder, 'frame.jpg');
    await writeFile(frame, jpeg[0]!.bytes);
    return {
      async try(random) {
        const text = JSON.stringify(bent(goodZones, random, 0.25));
        const bytes = random.chance(0.4) ? mutated(Buffer.from(text), random) : Buffer.from(text);
        await writeFile(path.join(folder, 'zones.json'), bytes);
        const plates = await survives('plates', () => loadPlates(folder));
        if (!plates || random.whole(1, MEASURED_ONE_IN) !== 1) return;
        const reading = await survives('measuring', () => measureFrame(frame, plates, plates.zones));
        if (reading && !measurementSchema.safeParse(reading).success)
          throw new Finding(`a reading that is none for ${JSON.stringify(plates.zones)}`);
      },
    };
  },
};

/** Names of files that a folder of plates or frames may hold: what is said of them must be fit. */
const fileNameKind: FuzzKind = {
  name: 'names of picture files',
  share: 3,
  async open(folder) {
    const {jpeg} = await seedPictures();
    return {
      async try(random) {
        const name = hostileText(random, 60).replace(/[/\0]/g, '_').slice(0, 80) || 'x';
        const file = path.join(folder, name === '.' || name === '..' ? '_' : name);
        const bytes = random.chance(0.5) ? jpeg[0]!.bytes : Buffer.from('nothing');
        const made = await writeFile(file, bytes).then(
          () => true,
          () => false,
        );
        const frame = await survives('decoding', () => decodeFrame(file));
        if (frame) mustBeFit('a label', frame.label);
        await survives('plates', () => loadPlates(file));
        if (made) await rm(file);
      },
    };
  },
};

export const pictureKinds: FuzzKind[] = [
  pictureKind('JPEG', 13, 'jpeg'),
  pictureKind('PNG and WebP', 8, 'png'),
  pictureKind('TIFF', 7, 'tiff'),
  pictureKind('RAW built on TIFF', 8, 'rawTiff'),
  pictureKind('RAW built of boxes', 7, 'rawMedia'),
  exifKind,
  zonesKind,
  fileNameKind,
];
