import type {Rig} from '../../../shared/rig.js';
import {printDistance, printLevel, printNumber} from '../../light/words.js';
import {further, nextDistance, type PlanField, stepped, withRig} from './plan-field.js';

/** Farther than this a side wall gets no light worth a thought: the next step says that there is none. Our own choice. */
const FAR_WALL_METRES = 6;
const FIRST_WALL_METRES = 2;

type Side = 'leftWallMetres' | 'rightWallMetres';

/**
 * A side wall farther or nearer; null beyond the last step.
 * @param earlier rigs of before: nearer than none, a wall comes back where it was
 */
const nextWall = (wall: number | null, steps: number, side: Side, earlier: readonly Rig[]): number | null => {
  if (wall === null) {
    if (steps > 0) return null;
    return earlier.find(rig => rig.mark[side] !== null)?.mark[side] ?? FIRST_WALL_METRES;
  }
  if (steps > 0 && wall >= FAR_WALL_METRES) return null;
  return wall < 3 ? nextDistance(wall, steps) : stepped(wall, steps, 0.25, 0.2, 100);
};

/** Focal lengths, mm: common ones, and the way between them. From memory. */
const focalLengths = [
  10, 12, 14, 16, 18, 20, 24, 28, 35, 40, 45, 50, 55, 60, 70, 85, 100, 135, 150, 200, 300, 400, 600,
];

const TRAIL_STEPS_PER_EV = 3;

/** Where the mark is in the room, the lens, the painting light. */
export const markFields = ({mark, lens, painting}: Rig, earlier: readonly Rig[]): PlanField[] => {
  const length = (key: 'cameraDistanceMetres' | 'backWallMetres', id: string, begins: boolean): PlanField => ({
    id,
    label: id,
    value: printDistance(mark[key]),
    light: null,
    begins,
    step: (draft, steps) => withRig(draft, rig => ({mark: {...rig.mark, [key]: nextDistance(rig.mark[key], steps)}})),
  });
  const side = (key: Side, id: string): PlanField => ({
    id,
    label: id,
    value: mark[key] === null ? 'none near' : printDistance(mark[key]),
    light: null,
    begins: false,
    step: (draft, steps) =>
      withRig(draft, rig => ({mark: {...rig.mark, [key]: nextWall(rig.mark[key], steps, key, earlier)}})),
  });
  return [
    length('cameraDistanceMetres', 'camera', true),
    length('backWallMetres', 'back wall', false),
    side('leftWallMetres', 'left wall'),
    side('rightWallMetres', 'right wall'),
    {
      id: 'eyes',
      label: 'eyes',
      value: printDistance(mark.eyeHeightMetres),
      light: null,
      begins: false,
      step: (draft, steps) =>
        withRig(draft, rig => ({
          mark: {...rig.mark, eyeHeightMetres: stepped(rig.mark.eyeHeightMetres, steps, 0.05, 0.3, 3)},
        })),
    },
    {
      id: 'lens',
      label: 'lens',
      value: `${printNumber(lens.focalMillimetres, Number.isInteger(lens.focalMillimetres) ? 0 : 1)} mm`,
      light: null,
      begins: false,
      step: (draft, steps) =>
        withRig(draft, rig => ({
          lens: {...rig.lens, focalMillimetres: further(focalLengths, rig.lens.focalMillimetres, steps)},
        })),
    },
    {
      id: 'trail',
      label: 'trail',
      value: printLevel(painting.trailEv),
      light: null,
      begins: false,
      step: (draft, steps) =>
        withRig(draft, rig => ({
          painting: {...rig.painting, trailEv: stepped(rig.painting.trailEv, steps, 1 / TRAIL_STEPS_PER_EV, -20, 20)},
        })),
    },
  ];
};
