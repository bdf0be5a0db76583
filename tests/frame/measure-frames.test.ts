import path from 'node:path';
import {expect, test} from 'vitest';
import {measureFrame} from '../../src/frame/measure.js';
import {measureFrames} from '../../src/frame/measure-frames.js';
import {loadPlates} from '../../src/frame/plates.js';

const demo = path.join(import.meta.dirname, '../../fixtures/demo');
const attempt = (name: string): string => path.join(demo, 'attempts', name);

test('frames of one shoot are read in their order, one that can’t be read among them; which comes first changes nothing', async () => {
  const plates = await loadPlates(path.join(demo, 'plates'));
  const names = ['5-room-light.jpg', '1.jpg', 'is-not-there.jpg', '2.jpg', '3.jpg'];
  const forth = await measureFrames(names.map(attempt), plates, plates.zones);
  const back = (await measureFrames([...names].reverse().map(attempt), plates, plates.zones)).reverse();
  expect(forth.map(one => ('error' in one ? 'error' : one.measurement.frame.file))).toEqual(
    names.map(name => (name === 'is-not-there.jpg' ? 'error' : name)),
  );
  forth.forEach((one, n) => {
    const other = back[n]!;
    if ('error' in one || 'error' in other) return;
    const [a, b] = [one.measurement, other.measurement];
    expect(b.lights.map(({fired}) => fired)).toEqual(a.lights.map(({fired}) => fired));
    expect(b.ambient.side).toBe(a.ambient.side);
    expect(Math.abs(b.ambient.riseEv! - a.ambient.riseEv!)).toBeLessThan(0.15);
    expect(b.trail?.coverage).toBe(a.trail?.coverage);
  });
});

test('a frame alone is what measureFrame says', async () => {
  const plates = await loadPlates(path.join(demo, 'plates'));
  const [alone] = await measureFrames([attempt('1.jpg')], plates, plates.zones);
  const {timing: _, ...same} = await measureFrame(attempt('1.jpg'), plates, plates.zones);
  expect(alone).toMatchObject({measurement: same});
});
