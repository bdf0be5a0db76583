import type {Check} from '../../../shared/reading.js';
import {printLevel, printNumber, printPercent} from '../../light/words.js';
import {worst} from '../limits.js';
import {yourSide} from '../sides.js';
import {checkAgainst, hasFace, type View, wasBefore} from '../view.js';

/** A part of a whole, with a digit more where it is small: "0.4 %", "12 %". */
const smallPercent = (part: number): string => (part < 0.1 ? `${printNumber(part * 100, 1)} %` : printPercent(part));

const faceLevel = (view: View, level: number): Check => {
  const low = view.against('face level low', level);
  const high = view.against('face level high', level);
  const bound = level < 0 && high === 'ok' ? 'face level low' : 'face level high';
  const say = `${printLevel(level)}${wasBefore(view, 'face level', level, 0.3, value => printNumber(value, 1))}`;
  return checkAgainst(view, 'face level', bound, level, say, worst(low, high));
};

const faceClipped = (view: View, part: number): Check => {
  const say = part < 0.0005 ? 'none' : `${smallPercent(part)} of the face is pure white`;
  return checkAgainst(view, 'face clipped', 'face clipped', part, say);
};

const faceRatio = (view: View, leftRightEv: number): Check => {
  const stops = Math.abs(leftRightEv);
  const brighter = leftRightEv >= 0 ? 'left' : 'right';
  const say =
    stops < 0.15 ? 'both halves alike' : `${brighter} of the picture brighter by ${printNumber(stops, 1)} stops`;
  return {...checkAgainst(view, 'face ratio', 'face ratio', stops, say), value: leftRightEv};
};

const sharpness = (view: View, value: number): Check => {
  const say = `${printPercent(value)} of the plate's${wasBefore(view, 'sharpness', value, 0.1, printPercent)}`;
  return checkAgainst(view, 'sharpness', 'sharpness', value, say);
};

const shift = (view: View): Check => {
  const {x, y} = view.measurement.face.shift;
  const far = Math.hypot(x, y);
  const parts = [
    ...(Math.abs(x) >= 0.005 ? [`${smallPercent(Math.abs(x))} to your ${yourSide(x)}`] : []),
    ...(Math.abs(y) >= 0.005 ? [`${smallPercent(Math.abs(y))} ${y < 0 ? 'up' : 'down'}`] : []),
  ];
  return checkAgainst(view, 'shift', 'shift', far, parts.length === 0 ? 'on the mark' : parts.join(', '));
};

const doubled = (): Check => ({
  id: 'doubled',
  state: 'fail',
  say: 'the head stands twice: two pops with movement between',
  value: null,
  limit: null,
  unit: '',
});

/** Level, clipped part, ratio, sharpness, place and doubling of the face; nothing where the face was not measured. */
export const faceChecks = (view: View): Check[] => {
  const {measurement} = view;
  const {face} = measurement;
  if (!hasFace(measurement) || face.levelEv === null) return [];
  const hasPlates = measurement.lights.length > 0;
  return [
    faceLevel(view, face.levelEv),
    faceClipped(view, face.clippedFraction),
    ...(face.leftRightEv === null ? [] : [faceRatio(view, face.leftRightEv)]),
    ...(face.sharpness === null ? [] : [sharpness(view, face.sharpness)]),
    ...(hasPlates ? [shift(view)] : []),
    ...(face.doubled ? [doubled()] : []),
  ];
};
