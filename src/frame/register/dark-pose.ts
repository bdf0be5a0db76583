import type {PreparedPlates} from '../prepared-plates.js';
import {type Placement, type Pose, placementOf} from './pose.js';
import {SHOWS} from './register-head.js';

/**
 * Where the dark plate shows what a frame shows of the sitter, as the strongest light tells it.
 * @param poses of the lights, in the frame's pixels
 * @returns null where no light tells, or where the dark plate doesn't show the sitter
 */
export const darkPlacement = (
  {isSitterInDark, head}: PreparedPlates,
  poses: readonly Pose[],
  power: ArrayLike<number>,
): Placement | null => {
  if (!isSitterInDark) return null;
  let best = -1;
  for (let k = 0; k < poses.length; k++) if (power[k]! > (power[best] ?? SHOWS)) best = k;
  const pose = poses[best];
  if (!pose) return null;
  const own = head.offsets[best]!;
  const {dx, dy} = head.inDark ?? own;
  const {step} = head.window;
  return placementOf({...pose, dx: pose.dx + step * (own.dx - dx), dy: pose.dy + step * (own.dy - dy)});
};
