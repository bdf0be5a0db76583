import {readFileSync} from 'node:fs';
import path from 'node:path';
import {z} from 'zod';

const packageSchema = z.object({name: z.string(), version: z.string()});

/** The nearest package.json above this file: the source tree's, or the installed package's beside dist. */
const ownPackage = (): z.infer<typeof packageSchema> => {
  for (let folder = import.meta.dirname; ; folder = path.dirname(folder)) {
    try {
      return packageSchema.parse(JSON.parse(readFileSync(path.join(folder, 'package.json'), 'utf8')));
    } catch (error) {
      if (folder === path.dirname(folder)) throw error;
    }
  }
};

/** Version of this program, like "0.1.0". */
export const version = ownPackage().version;

/** Name and version, for the journal. */
export const programName = `darkset ${version}`;
