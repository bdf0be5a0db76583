import {copyFileSync, mkdirSync} from 'node:fs';
import path from 'node:path';
import sharp from 'sharp';

const demo = path.resolve(import.meta.dirname, '../../fixtures/demo');

export const demoPlates = path.join(demo, 'plates');
export const demoAttempt = (file: string): string => path.join(demo, 'attempts', file);

/** Frames of today's usual size, and of the largest that fit into a small camera, pixels. */
export const MP24 = {width: 6000, height: 4000};
export const MP61 = {width: 9504, height: 6336};

/** Writes an attempt of the demo at another size, and says where. */
export const enlargedAttempt = async (
  file: string,
  into: string,
  {width, height}: {width: number; height: number},
): Promise<string> => {
  const made = path.join(into, `${width}-${file}`);
  await sharp(demoAttempt(file)).resize(width, height).jpeg({quality: 92}).withMetadata().toFile(made);
  return made;
};

/** Grain of a camera at its lowest sensitivity, in codes: about normal, as a sum of four even values. */
const GRAIN = 1.2;

/**
 * The same as a camera writes it: with grain, which takes longer to decode, and without a colour profile.
 * @param quality as the encoder counts it; cameras write their best at about 97 (from memory)
 */
export const grainedAttempt = async (
  file: string,
  into: string,
  {width, height}: {width: number; height: number},
  quality: number,
): Promise<string> => {
  const made = path.join(into, `grained-${quality}-${file}`);
  const data = await sharp(demoAttempt(file)).resize(width, height).removeAlpha().raw().toBuffer();
  let state = 1;
  for (let at = 0; at < data.length; at++) {
    let sum = 0;
    for (let n = 0; n < 4; n++) {
      state = (Math.imul(state, 1_664_525) + 1_013_904_223) >>> 0;
      sum += state / 2 ** 32 - 0.5;
    }
    data[at] = Math.max(0, Math.min(255, Math.round(data[at]! + GRAIN * Math.sqrt(3) * sum)));
  }
  await sharp(data, {raw: {width, height, channels: 3}})
    .jpeg({quality})
    .toFile(made);
  return made;
};

/** Writes the demo's plates with 24 MP, and says into which folder. */
export const enlargedPlates = async (into: string): Promise<string> => {
  const folder = path.join(into, 'plates');
  mkdirSync(folder);
  for (const name of ['dark', 'light-A', 'light-B', 'sitter']) {
    const file = `${name}.jpg`;
    await sharp(path.join(demoPlates, file))
      .resize(MP24.width, MP24.height)
      .jpeg({quality: 92})
      .withMetadata()
      .toFile(path.join(folder, file));
  }
  copyFileSync(path.join(demoPlates, 'zones.json'), path.join(folder, 'zones.json'));
  return folder;
};
