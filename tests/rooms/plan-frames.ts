import {leakTints, wands} from './palette.js';
import type {RoomSet} from './plan.js';
import type {Random} from './random.js';
import type {FrameRecipe, PopRecipe, RoomRecipe, TrailRecipe} from './recipe.js';
import type {Leak} from './scene.js';
import {crossingShapes, type ShapeName} from './trail-shapes.js';

const openShapes: ShapeName[] = ['loop', 'arch', 'ten loops', 'halo high', 'loop high', 'aside', 'near miss', 'loop'];
const heldOutShapes: ShapeName[] = [
  'figure of eight',
  'spiral',
  'star',
  'heart',
  'wings',
  'two rings',
  'far scribble',
  'bars',
  'out of frame',
  'near miss',
  'loop',
];
const openCrossings: ShapeName[] = ['loop across', 'chord across', 'zigzag across'];
const heldOutCrossings: ShapeName[] = ['cheek graze', 'hook across', 'loop across', 'chord across'];

const trailOf = (shape: ShapeName, random: Random): TrailRecipe => {
  // From −2.5 EV, hardly over the threshold, to far beyond full scale.
  const ev = random.pick([-2.3, -1.5, -0.7, 0, 0.7, 1.5, 2.3, 3.2]) + random.between(-0.2, 0.3);
  const tint = random.chance(0.55) ? random.pick(wands.slice(0, 3)) : random.pick(wands);
  return {
    shapes: [shape],
    ev,
    width: random.pick([0.0012, 0.002, 0.003, 0.005, 0.008]),
    brush: random.chance(0.7) ? 'soft' : 'flat',
    tints: shape === 'two rings' ? [tint, random.pick(wands)] : [tint],
    dash: random.chance(0.2) ? {lit: random.between(0.4, 0.7), periodHeads: random.between(0.06, 0.16)} : null,
    wander: ev < -1.8 ? 0 : random.chance(0.4) ? random.between(0.1, 0.5) : 0,
    behind: shape === 'behind',
    wants: crossingShapes.includes(shape) ? 'crossing' : 'clear',
  };
};

const leakOf = (random: Random, side: Leak['side'], riseEv: number): Leak => ({
  side,
  profile: random.pick(['ramp', 'fall', 'slit'] as const),
  riseEv,
  tint: random.pick(leakTints),
});

/** Eight frames a room, each set so that the job's usual accidents all occur, and one after another in turn. */
export const planFrames = (set: RoomSet, index: number, random: Random, room: RoomRecipe): FrameRecipe[] => {
  const shapes = set === 'open' ? openShapes : heldOutShapes;
  const crossings = set === 'open' ? openCrossings : heldOutCrossings;
  const ids = room.lights.map(light => light.id);
  const all = (): PopRecipe[] => ids.map(light => ({light, setEv: 0, pose: 0}));
  const lost = ids[index % ids.length]!;
  const sides: Leak['side'][] = ['left', 'right', 'top', 'bottom', 'even'];
  let drawn = 0;
  const trail = (shape?: ShapeName): TrailRecipe => {
    drawn += 1;
    return trailOf(shape ?? shapes[(index * 3 + drawn * 5) % shapes.length]!, random.fork(`trail ${drawn}`));
  };
  let made = 0;
  const frame = (kind: string, given: Partial<FrameRecipe>): FrameRecipe => {
    made += 1;
    const r = random.fork(`frame ${made}`);
    const steady = r.chance(0.3);
    return {
      kind,
      pops: all(),
      trail: null,
      leak: null,
      sway: {
        amount: steady ? r.between(0, 0.003) : r.between(0.002, 0.02),
        angle: r.between(0, 6.28),
        turn: steady ? 0 : r.between(-0.025, 0.025),
        scale: steady ? 1 : r.between(0.985, 1.015),
      },
      between: 0,
      balanceShift: index % 5 === 3 ? [r.between(0.95, 1.05), 1, r.between(0.95, 1.05)] : [1, 1, 1],
      ...given,
    };
  };
  const slight = random.between(0.6, 1.1);
  const strong = random.between(1.6, 4);
  const frames = [
    frame('all lights, trail', {trail: trail()}),
    ids.length > 1
      ? frame('a light missing', {
          pops: all().filter(pop => pop.light !== lost),
          trail: random.chance(0.7) ? trail() : null,
        })
      : frame('no light at all', {pops: [], trail: trail()}),
    frame('a light mis-set', {
      pops: all().map(pop =>
        pop.light === lost ? {...pop, setEv: random.pick([-2, -1.5, -1, -0.5, 0.5, 1, 1.5, 2])} : pop,
      ),
      trail: random.chance(0.6) ? trail() : null,
    }),
    frame('crossing', {trail: trail(crossings[(index + (index >> 2)) % crossings.length]!)}),
    frame('no trail', {leak: index % 3 === 0 ? leakOf(random, sides[(index + 2) % 5]!, strong) : null}),
    frame('leak', {leak: leakOf(random, sides[index % 5]!, index % 2 === 0 ? slight : strong), trail: trail()}),
  ];
  const special = (set === 'open' ? index : index + 3) % 8;
  if (special === 0) {
    frames.push(frame('doubled in place', {pops: [...all(), {light: lost, setEv: 0, pose: 0}], trail: trail()}));
  } else if (special === 1) {
    frames.push(
      frame('two pops with movement', {
        pops: [...all(), ...all().map((pop): PopRecipe => ({...pop, pose: 1}))],
        between: random.between(0.015, 0.04),
        trail: trail('loop'),
      }),
    );
  } else if (special === 2) {
    frames.push(
      frame('room lights on', {
        leak: {side: 'even', profile: 'ramp', riseEv: random.between(4, 6), tint: random.pick(leakTints)},
        trail: trail(),
      }),
    );
  } else if (special === 3) {
    frames.push(frame('passing behind', {trail: trail('behind')}));
  } else if (special === 4 && ids.length > 1) {
    frames.push(
      frame('pops apart', {
        pops: all().map((pop, i): PopRecipe => ({...pop, pose: i === 0 ? 0 : 1})),
        between: random.between(0.002, 0.008),
        trail: trail(),
      }),
    );
  } else if (special === 5) {
    frames.push(frame('near miss', {trail: trail('near miss')}));
  } else if (special === 6) {
    frames.push(
      frame('thin dim crossing', {
        trail: {...trail(crossings[index % crossings.length]!), ev: -2.1, width: 0.0016, wander: 0},
      }),
    );
  } else {
    frames.push(
      frame('nothing fired', {pops: [], trail: null, leak: index % 2 === 0 ? leakOf(random, 'right', strong) : null}),
    );
  }
  frames.push(
    index % 2 === 0
      ? frame('all lights, no trail', {})
      : frame('crossing, mis-set', {
          pops: all().map(pop => ({...pop, setEv: random.between(-1.2, 1.2)})),
          trail: trail(crossings[(index + 1) % crossings.length]!),
        }),
  );
  return frames;
};
