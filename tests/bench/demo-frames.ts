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
