import path from 'node:path';
import {describe, it} from 'vitest';
import {needs} from '../needs.js';
import {expectRead} from '../rooms-apart/expect-read.js';

/*
 * Rooms by a third author, who had read what is measured but neither how nor the other rooms: sitters in three dimensions
 * whose heads shade themselves and throw shadows on the wall, rims, rooms that show the sitter on the dark plate, light
 * that the lamp itself throws about. Four of them, small, which are read rightly; not all are (README, "Light adds").
 */
describe('rooms of relit sitters', () => {
  it('are read without a wrong word about flashes, crossing, trail or side', {timeout: 240_000}, async context => {
    needs(context, {python: 'skimage, scipy, PIL, cv2'}, 'python3-skimage python3-scipy python3-pil python3-opencv');
    await expectRead(path.join(import.meta.dirname, 'make_rooms.py'), '2,6,7,8', 37);
  });
});
