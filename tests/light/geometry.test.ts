import fc from 'fast-check';
import {describe, expect, it} from 'vitest';
import type {FlashLight, Rig} from '../../shared/rig.js';
import {flashLevelEv} from '../../src/light/flash.js';
import {
  acrossPicture,
  alongBeam,
  pointAt,
  stanceOf,
  standsPossible,
  wallHit,
  wallSeenAt,
} from '../../src/light/geometry.js';
import {moveAtConstantFace, moveLight, wallAgainstFaceEv} from '../../src/light/spill.js';
import {turnOffWall} from '../../src/light/turn.js';
import {testRig} from './test-rig.js';

const light = (change: Partial<FlashLight>): FlashLight => ({
  ...testRig.lights[0]!,
  heightMetres: testRig.mark.eyeHeightMetres,
  distanceMetres: 1.2,
  aimOffDegrees: 0,
  ...change,
});
const metres = fc.integer({min: 40, max: 500}).map(centimetres => centimetres / 100);

describe('the set from above', () => {
  it('has the camera at 0°, the right of the picture at 90°, and what is behind the sitter at 180°', () => {
    expect(pointAt(0, 2)).toEqual({x: 0, y: -2});
    expect(pointAt(90, 2).x).toBeCloseTo(2, 12);
    expect(pointAt(-90, 2).x).toBeCloseTo(-2, 12);
    expect(pointAt(180, 2).y).toBeCloseTo(2, 12);
  });

  it('aims a light at the face, and a positive turn at the right of the picture, in front of the sitter and behind', () => {
    for (const angleDegrees of [-60, 0, 60, 140, -140, 180]) {
      const straight = stanceOf(testRig, light({angleDegrees}));
      const turned = stanceOf(testRig, light({angleDegrees, aimOffDegrees: 10}));
      const across = (stance: typeof straight): number => {
        // Where the beam crosses the plane through the mark, across the picture.
        const along = -stance.at.y / stance.aim.y;
        return stance.at.x + stance.aim.x * along;
      };
      expect(across(straight)).toBeCloseTo(0, 9);
      expect(across(turned)).toBeGreaterThan(0);
    }
  });

  it('counts the distance in the room, not along the floor', () => {
    const stance = stanceOf(testRig, light({heightMetres: testRig.mark.eyeHeightMetres + 0.6, distanceMetres: 1}));
    expect(stance.alongFloorMetres).toBeCloseTo(0.8, 12);
    expect(stance.slope).toBeCloseTo(-0.75, 12);
  });

  it('refuses a light that hangs higher above the face than it is away from it', () => {
    const impossible = light({heightMetres: 4});
    expect(standsPossible(testRig, impossible)).toBe(false);
    expect(() => stanceOf(testRig, impossible)).toThrow(
      'Light A is 1.2 m from the face but 2.40 m above it; check its distance and height.',
    );
    expect(wallHit(testRig, impossible)).toBeNull();
  });
});

describe('where a beam goes', () => {
  it('from the camera it strikes the back wall behind the mark', () => {
    const hit = wallHit(testRig, light({angleDegrees: 0}))!;
    expect(hit).toMatchObject({
      wall: 'back wall',
      incidence: expect.closeTo(1, 9),
      acrossPicture: expect.closeTo(0, 9),
    });
    expect(hit.distanceMetres).toBeCloseTo(1.2 + testRig.mark.backWallMetres, 9);
  });

  it('from the right of the picture it strikes the left wall', () => {
    expect(wallHit(testRig, light({angleDegrees: 90}))).toMatchObject({wall: 'left wall'});
    expect(wallHit(testRig, light({angleDegrees: -90}))).toMatchObject({wall: 'right wall'});
  });

  it('from behind the sitter it goes to the camera and strikes no wall of the rig', () => {
    expect(wallHit(testRig, light({angleDegrees: 180}))).toBeNull();
  });

  it('from the side strikes nothing where there is no wall near', () => {
    const open: Rig = {...testRig, mark: {...testRig.mark, leftWallMetres: null}};
    expect(wallHit(open, light({angleDegrees: 120}))).toBeNull();
  });

  it('from high and near goes into the floor', () => {
    expect(wallHit(testRig, light({angleDegrees: 0, heightMetres: 2.7}))).toBeNull();
  });

  it('agrees with the camera: what it sees at a place of the picture projects back to that place', () => {
    fc.assert(
      fc.property(fc.double({min: 0, max: 1, noNaN: true}), fc.double({min: 0, max: 1, noNaN: true}), (x, y) => {
        const point = wallSeenAt(testRig, {x, y});
        expect(acrossPicture(testRig, point)).toBeCloseTo(2 * x - 1, 8);
      }),
    );
  });

  it('knows what lies on its axis', () => {
    const from = light({angleDegrees: -48, heightMetres: 1.9});
    const face = {x: 0, y: 0, z: testRig.mark.eyeHeightMetres};
    const {alongMetres, offMetres} = alongBeam(testRig, from, face);
    expect(alongMetres).toBeCloseTo(1.2, 9);
    expect(offMetres).toBeCloseTo(0, 6);
  });
});

describe('moving a light at constant light on the face', () => {
  it('nearer darkens the wall, farther brightens it, always', () => {
    fc.assert(
      fc.property(metres, metres, metres, (from, to, beyond) => {
        const {wallEv} = moveAtConstantFace(from, to, beyond, 0.1);
        if (to < from) expect(wallEv).toBeLessThan(0);
        if (to > from) expect(wallEv).toBeGreaterThan(0);
      }),
    );
  });

  it('is what the inverse square says of wall and face apart', () => {
    fc.assert(
      fc.property(metres, metres, metres, (from, to, beyond) => {
        const bare = {...light({}), gel: null, snoot: null, power: 0.01};
        const exposure = {shutterSeconds: 8, fNumber: 8, iso: 100};
        const {wallEv, power} = moveAtConstantFace(from, to, beyond, bare.power);
        const before = flashLevelEv(bare, exposure, from + beyond);
        const after = flashLevelEv({...bare, power}, exposure, to + beyond);
        expect(after - before).toBeCloseTo(wallEv, 8);
      }),
    );
  });

  it('from 1.2 to 0.9 m with the wall 2 m beyond gives −0.55 EV on the wall at 0.56 of the power (computed)', () => {
    const {wallEv, power} = moveAtConstantFace(1.2, 0.9, 2, 1);
    expect(wallEv).toBeCloseTo(-0.546, 3);
    expect(power).toBeCloseTo(0.5625, 9);
  });

  it('takes the wall from the rig', () => {
    const moved = moveLight(testRig, light({angleDegrees: 0}), 0.6)!;
    expect(moved.hit.wall).toBe('back wall');
    expect(moved.wallEv).toBeCloseTo(moveAtConstantFace(1.2, 0.6, 1.6, 1).wallEv, 9);
    expect(moveLight(testRig, light({angleDegrees: 180}), 0.6)).toBeNull();
  });

  it('knows how much of the face’s light the wall gets: at twice the distance two stops less', () => {
    const hit = {...wallHit(testRig, light({angleDegrees: 0}))!, distanceMetres: 2.4, incidence: 1};
    expect(wallAgainstFaceEv(light({}), hit)).toBeCloseTo(-2, 9);
    expect(wallAgainstFaceEv(light({}), {...hit, incidence: 0.5})).toBeCloseTo(-3, 9);
  });
});

describe('turning a snooted light off a patch of the wall', () => {
  // From nearly straight ahead, with a spot larger than the head: its soft edge lights the wall beside the head.
  const wide = light({
    angleDegrees: -20,
    snoot: {name: 'wide', sourceMillimetres: 40, exitMillimetres: 80, tubeMillimetres: 200, lossStops: 0},
  });

  it('finds the turn that darkens it, and says what the head loses', () => {
    const beside = {x: 0.93, y: 0.5};
    const turn = turnOffWall(testRig, wide, beside, 1);
    expect(turn.kind).toBe('turn');
    if (turn.kind !== 'turn') return;
    // The patch lies at the right of the picture: the beam goes to the left.
    expect(turn.effect.aimOffDegrees).toBeLessThan(0);
    expect(turn.effect.wallEv).toBeLessThanOrEqual(-1);
    expect(turn.effect.headEv).toBeGreaterThan(-1);
  });

  it('says that light is stray where the beam cannot reach', () => {
    expect(
      turnOffWall(
        testRig,
        light({angleDegrees: -48, snoot: {...wide.snoot!, exitMillimetres: 30, tubeMillimetres: 400}}),
        {x: 0.02, y: 0.1},
        1,
      ),
    ).toEqual({
      kind: 'stray',
    });
  });

  it('knows nothing of a bare flash', () => {
    expect(turnOffWall(testRig, light({snoot: null}), {x: 0.8, y: 0.4}, 1)).toEqual({kind: 'none'});
  });
});
