import type {Measurement} from '../../shared/reading.js';

/** The room has risen so much, and so near to the face's own level, EV. */
const LEAST_RISE = 3;
const UNDER_FACE = 3;

/** Whether the room was so bright that its light on the sitter can't be told well from the flashes'. */
export const isDrowned = ({ambient, face}: Measurement): boolean =>
  (ambient.riseEv ?? 0) > LEAST_RISE &&
  ambient.levelEv !== null &&
  face.levelEv !== null &&
  ambient.levelEv > face.levelEv - UNDER_FACE;
