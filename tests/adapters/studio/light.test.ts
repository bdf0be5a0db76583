import {describe, expect, it} from 'vitest';
import {stageOf} from '../../../adapters/studio/scene/stage.js';
import {usualCueSheet} from '../../../shared/cues.js';
import {demoRig} from '../../../shared/rig.js';
import {evAt, largestDifference, partAbove, patchEv, rigWith, sharpnessIn, shotOf, steadyRoom, sumOf} from './scene.js';

const width = 480;
const height = 320;
const stage = stageOf(demoRig, width, height, steadyRoom, 5);
/** Around the keeper's head in the demo picture. */
const head = {cx: 0.498, cy: 0.43, rx: 0.065, ry: 0.145};

describe('Light in the simulated room', () => {
  it('adds: both flashes together are each alone, with the dark counted once', () => {
    const both = stage.expose(shotOf());
    const dark = stage.expose(shotOf({firing: []}));
    const a = stage.expose(shotOf({firing: ['A']}));
    const b = stage.expose(shotOf({firing: ['B']}));
    expect(largestDifference(both, sumOf([a, 1], [b, 1], [dark, -1]))).toBeLessThan(1e-5);
  });

  it('adds the painting on top of the flashes', () => {
    const all = stage.expose(shotOf({painting: true}));
    const flashes = stage.expose(shotOf());
    const painting = stage.expose(shotOf({painting: true, firing: []}));
    const dark = stage.expose(shotOf({firing: []}));
    expect(largestDifference(all, sumOf([flashes, 1], [painting, 1], [dark, -1]))).toBeLessThan(1e-5);
  });

  it('falls by 1.644 EV for everything but time from f/8 ISO 100 to f/10 ISO 50 (f/10 ISO 50: 2·log2(10/8) + 1)', () => {
    const before = stage.expose(shotOf({painting: true}));
    const after = stage.expose(shotOf({painting: true}, {exposure: {shutterSeconds: 8, fNumber: 10, iso: 50}}));
    expect(largestDifference(before, sumOf([after, 2 ** 1.6439]))).toBeLessThan(1e-3);
  });

  it('stays dark where a flash is off, and a flash does not light what the other one lights alone', () => {
    const dark = stage.expose(shotOf({firing: []}));
    const onlyB = stage.expose(shotOf({firing: ['B']}));
    const onlyA = stage.expose(shotOf({firing: ['A']}));
    expect(evAt(dark, 'litCheek')).toBeLessThan(-7);
    expect(evAt(onlyB, 'litCheek')).toBeLessThan(-5);
    expect(evAt(onlyA, 'litCheek')).toBeGreaterThan(-1);
  });

  it('lights the face well in the demo: the lit cheek within ±0.7 EV of middle grey, the wall under −6 EV', () => {
    const frame = stage.expose(shotOf());
    expect(Math.abs(evAt(frame, 'litCheek'))).toBeLessThan(0.7);
    expect(evAt(frame, 'wallLeft')).toBeLessThan(-6);
    expect(evAt(frame, 'wallRight')).toBeLessThan(-6);
  });

  it('changes ambient light only when the shutter stays open twice as long', () => {
    const longer = {openSeconds: 16, plannedSeconds: 16};
    const arrange = {painting: true, cues: usualCueSheet(8)};
    const short = stage.expose(shotOf(arrange));
    const long = stage.expose(shotOf(arrange, longer));
    const dark = stage.expose(shotOf({firing: []}));
    const darkLong = stage.expose(shotOf({firing: []}, longer));
    expect(largestDifference(darkLong, sumOf([dark, 2]))).toBeLessThan(1e-5);
    expect(largestDifference(sumOf([long, 1], [darkLong, -1]), sumOf([short, 1], [dark, -1]))).toBeLessThan(1e-5);
  });

  it('follows power and pops in stops: half the power −1, two pops +1', () => {
    const own = (rig = demoRig): number => {
      const lit = stage.expose(shotOf({rig, firing: ['A']}));
      const dark = stage.expose(shotOf({firing: []}));
      return evAt(sumOf([lit, 1], [dark, -1]), 'forehead');
    };
    expect(own(rigWith('A', {power: 1 / 8})) - own()).toBeCloseTo(-1, 3);
    expect(own(rigWith('A', {pops: 2})) - own()).toBeCloseTo(1, 3);
  });

  it('loses two stops at twice the distance (inverse square), the same light staying on the wall as its beam widens', () => {
    const near = stage.expose(shotOf({rig: rigWith('A', {snoot: null}), firing: ['A']}));
    const far = stage.expose(shotOf({rig: rigWith('A', {snoot: null, distanceMetres: 2.2}), firing: ['A']}));
    expect(evAt(far, 'litCheek') - evAt(near, 'litCheek')).toBeGreaterThan(-2.25);
    expect(evAt(far, 'litCheek') - evAt(near, 'litCheek')).toBeLessThan(-1.75);
  });

  it('keeps a snooted flash on its spot: turned 20° aside it leaves the face', () => {
    const aimed = stage.expose(shotOf({firing: ['A']}));
    const aside = stage.expose(shotOf({rig: rigWith('A', {aimOffDegrees: 20}), firing: ['A']}));
    expect(evAt(aside, 'litCheek')).toBeLessThan(evAt(aimed, 'litCheek') - 3);
  });

  it('turns an aim with a positive angle to the right of the picture', () => {
    const spillAt = (aimOffDegrees: number): number => {
      const rig = rigWith('A', {aimOffDegrees, snoot: null, angleDegrees: 0, heightMetres: 1.9, distanceMetres: 1.9});
      const lit = stage.expose(shotOf({rig, firing: ['A'], sitter: false}));
      return evAt(lit, 'wallRight') - evAt(lit, 'wallLeft');
    };
    expect(spillAt(18)).toBeGreaterThan(spillAt(0) + 0.5);
    expect(spillAt(-18)).toBeLessThan(spillAt(0) - 0.5);
  });

  it('spills past the sitter on the wall, who throws a shadow there', () => {
    const rig = rigWith('A', {snoot: null, angleDegrees: -30, distanceMetres: 1.4});
    const alone = stage.expose(shotOf({rig, firing: ['A'], sitter: false}));
    const stood = stage.expose(shotOf({rig, firing: ['A']}));
    const dark = stage.expose(shotOf({firing: []}));
    expect(patchEv(alone, 0.9, 0.3)).toBeGreaterThan(patchEv(dark, 0.9, 0.3) + 2);
    const shadows = [0.7, 0.75, 0.8, 0.85].map(x => patchEv(alone, x, 0.5) - patchEv(stood, x, 0.5));
    expect(Math.max(...shadows)).toBeGreaterThan(1.5);
  });

  it('is wrecked when the room lights stay on', () => {
    const lit = stage.expose(shotOf({roomLights: true}));
    expect(evAt(lit, 'wallLeft')).toBeGreaterThan(-1);
    expect(evAt(lit, 'litCheek')).toBeGreaterThan(2);
  });

  it.each(['left', 'right', 'top', 'bottom'] as const)('lets a leak in from the %s, strongest there', side => {
    const leaky = stageOf(demoRig, 120, 80, {...steadyRoom, leak: {side, ev100: -2, kelvin: 6200}}, 5);
    const wall = leaky.expose(shotOf({firing: [], sitter: false}));
    const edges = {
      left: patchEv(wall, 0.05, 0.5, 0.03),
      right: patchEv(wall, 0.95, 0.5, 0.03),
      top: patchEv(wall, 0.5, 0.06, 0.03),
      bottom: patchEv(wall, 0.5, 0.94, 0.03),
    };
    const opposite = {left: 'right', right: 'left', top: 'bottom', bottom: 'top'} as const;
    expect(edges[side] - edges[opposite[side]]).toBeGreaterThan(1);
    for (const level of Object.values(edges)) expect(edges[side]).toBeGreaterThanOrEqual(level);
  });

  it('shows no sitter when nobody stands there', () => {
    const empty = stage.expose(shotOf({sitter: false, firing: ['A'], painting: true}));
    const dark = stage.expose(shotOf({sitter: false, firing: []}));
    expect(evAt(empty, 'litCheek')).toBeLessThan(-7);
    expect(partAbove(dark, head, -7)).toBe(0);
  });

  it('misses a flash whose cue comes after the shutter has closed', () => {
    const missed = stage.expose(shotOf({}, {openSeconds: 5, plannedSeconds: 5}));
    expect(evAt(missed, 'litCheek')).toBeLessThan(-7);
  });

  it('is softer out of focus', () => {
    const sharp = stage.expose(shotOf());
    const soft = stage.expose(shotOf({}, {focusMetres: 0.6}));
    expect(sharpnessIn(soft, 0.45, 0.38, 0.55, 0.58)).toBeLessThan(sharpnessIn(sharp, 0.45, 0.38, 0.55, 0.58) / 3);
  });

  it('leaves the sitter a little aside in every frame, and two pops of a swaying sitter apart', () => {
    const swaying = stageOf(demoRig, 240, 160, {...steadyRoom, swayMetres: 0.006}, 5);
    const first = swaying.expose(shotOf({}, {exposureNumber: 0}));
    const second = swaying.expose(shotOf({}, {exposureNumber: 1}));
    expect(largestDifference(first, second)).toBeGreaterThan(0.02);
    const twice = swaying.expose(shotOf({rig: rigWith('A', {pops: 2}), firing: ['A']}));
    const once = swaying.expose(shotOf({firing: ['A']}));
    const dark = swaying.expose(shotOf({firing: []}));
    const doubled = sumOf([once, 2], [dark, -1]);
    expect(largestDifference(twice, doubled)).toBeGreaterThan(0.02);
  });

  it('gives the same light for the same shot, however often and in whatever order it is asked', () => {
    const shot = shotOf({painting: true}, {exposureNumber: 3, paintingNumber: 2, slip: null});
    const first = stage.expose(shot);
    stage.expose(shotOf({firing: ['B'], roomLights: true}));
    const fresh = stageOf(demoRig, width, height, steadyRoom, 5).expose(shot);
    expect(Buffer.from(fresh.rgb.buffer).equals(Buffer.from(first.rgb.buffer))).toBe(true);
  });
});

describe('The painted trail', () => {
  const trailOf = (slip: 'none' | 'crossing', change: object = {}) => {
    const painted = stage.expose(shotOf({painting: true, firing: []}, {slip, ...change}));
    return sumOf([painted, 1], [stage.expose(shotOf({firing: []}, change)), -1]);
  };

  it('keeps clear of the face in a good painting and crosses it in a bad one', () => {
    expect(partAbove(trailOf('none'), head, -3)).toBeLessThan(0.002);
    expect(partAbove(trailOf('crossing'), head, -3)).toBeGreaterThan(0.01);
  });

  it('comes to about the level that the rig names', () => {
    const trail = trailOf('none');
    const levels: number[] = [];
    for (let i = 0; i < trail.rgb.length; i += 3) {
      const y = 0.2126 * trail.rgb[i]! + 0.7152 * trail.rgb[i + 1]! + 0.0722 * trail.rgb[i + 2]!;
      if (y > 0.18 / 8) levels.push(Math.log2(y / 0.18));
    }
    levels.sort((a, b) => a - b);
    expect(levels.length).toBeGreaterThan(1000);
    // The core of the trail: its upper tenth. Loops that cross each other add up.
    const core = levels[Math.floor(levels.length * 0.9)]!;
    expect(core).toBeGreaterThan(demoRig.painting.trailEv - 1);
    expect(core).toBeLessThan(demoRig.painting.trailEv + 1.5);
  });

  it('ends where the shutter closed early', () => {
    const count = (light: ReturnType<typeof trailOf>): number =>
      partAbove(light, {cx: 0.5, cy: 0.5, rx: 0.7, ry: 0.7}, -3);
    const whole = count(trailOf('none'));
    const cut = count(trailOf('none', {openSeconds: 2}));
    expect(cut).toBeLessThan(whole * 0.6);
    expect(cut).toBeGreaterThan(0);
    expect(count(trailOf('none', {openSeconds: 0.4}))).toBe(0);
  });

  it('passes behind the sitter where it goes low', () => {
    const body = {cx: 0.5, cy: 0.85, rx: 0.12, ry: 0.13};
    expect(partAbove(trailOf('none'), body, -3)).toBe(0);
  });
});
