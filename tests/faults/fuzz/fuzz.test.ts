import {afterAll, beforeAll, describe, expect, it} from 'vitest';
import {needs} from '../../needs.js';
import {temporaryFolder} from '../../shoot/fakes.js';
import {inputsOf, kinds} from './kinds.js';
import {runKind} from './run-kind.js';

/** A new seed every time, printed, and given again through DARKSET_SEED to see the same inputs. */
const seed = Number(process.env.DARKSET_SEED ?? Math.floor(Math.random() * 1e9));
const INPUTS = 1200;

describe('hostile input', () => {
  let folder: string;
  let remove: () => Promise<void>;
  beforeAll(async () => {
    ({folder, remove} = await temporaryFolder());
    console.log(`hostile input: seed ${seed}`);
  });
  afterAll(async () => remove());

  it.for(kinds.map(kind => [kind.name, kind] as const))(
    'does no harm and is answered with a sentence at most: %s',
    {timeout: 120_000},
    async ([name, kind], context) => {
      if (name === 'text in HTML, SVG and XMP') needs(context, 'xmllint', 'libxml2-utils');
      const {found, inputs} = await runKind(kind, {seed, from: 0, to: inputsOf(INPUTS).get(name)!, folder});
      expect(inputs).toBeGreaterThan(0);
      expect(found, `seed ${seed}`).toEqual([]);
    },
  );
});
