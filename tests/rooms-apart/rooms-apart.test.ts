import path from 'node:path';
import {describe, it} from 'vitest';
import {needs} from '../needs.js';
import {expectRead} from './expect-read.js';

/*
 * Rooms made by somebody who had read what is measured but not how: other heads and walls, other light, another program.
 * Three of them, small: bricks and gravel behind heads that sway, where a wall's pattern is easily taken for a trail.
 */
describe('rooms made apart from ours', () => {
  it('are read without a wrong word about flashes, crossing, trail or side', {timeout: 240_000}, async context => {
    needs(context, {python: 'skimage, scipy, PIL'}, 'python3-skimage python3-scipy python3-pil');
    await expectRead(path.join(import.meta.dirname, 'make_rooms.py'), '2,4,12', 29);
  });
});
