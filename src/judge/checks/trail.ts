import type {Check, TrailReading} from '../../../shared/reading.js';
import {HEAD_HEIGHT_METRES} from '../../light/sway.js';
import {printNumber, printPercent, printSmall} from '../../light/words.js';
import {type LimitName, worst} from '../limits.js';
import {partOfFace, yourSide} from '../sides.js';
import {checkAgainst, hasFace, type View, wasBefore} from '../view.js';

const faceClear = (view: View, trail: TrailReading): Check => {
  const say = (): string => {
    if (trail.crossing < 0.0005) return 'clear';
    const where = trail.crossingAt ? partOfFace(trail.crossingAt, view.zones ?? null) : 'your face';
    return `the trail crosses ${where}: ${printNumber(trail.crossing * 100, 1)} % of the face`;
  };
  return checkAgainst(view, 'face clear', 'face clear', trail.crossing, say());
};

const headGap = (view: View, heads: number | null): Check => {
  if (heads === null) {
    return {id: 'head gap', state: 'watch', say: 'no trail over the head', value: null, limit: null, unit: 'heads'};
  }
  const near = view.against('head gap least', heads);
  const high = view.against('head gap most', heads);
  const bound: LimitName = near === 'ok' ? 'head gap most' : 'head gap least';
  const before = wasBefore(view, 'head gap', heads, 0.1, value => printNumber(value, 1));
  return checkAgainst(view, 'head gap', bound, heads, `${printNumber(heads, 1)} heads${before}`, worst(near, high));
};

const coverage = (view: View, part: number): Check => {
  const earlier = view.earlier.flatMap(each => each.reading.trail?.coverage ?? []);
  const best = earlier.length > 0 && part > Math.max(...earlier) + 0.005 ? ', best yet' : '';
  const before = best === '' ? wasBefore(view, 'coverage', part, 0.03, printPercent) : '';
  return checkAgainst(view, 'coverage', 'coverage', part, `${printPercent(part)}${best}${before}`);
};

const offset = (view: View, at: {x: number; y: number}): Check => {
  const sideways = Math.abs(at.x);
  const say =
    sideways < 0.1
      ? 'round the head'
      : `${printNumber(sideways, 1)} heads to your ${yourSide(at.x)} (about ${printSmall(sideways * HEAD_HEIGHT_METRES)})`;
  return checkAgainst(view, 'offset', 'offset', sideways, say);
};

const clipped = (view: View, part: number): Check =>
  checkAgainst(
    view,
    'trail clipped',
    'trail clipped',
    part,
    part < 0.005 ? 'none' : `${printPercent(part)} of the trail is pure white`,
  );

const even = (view: View, spreadEv: number): Check => {
  const measured = view.against('trail even', spreadEv);
  // An uneven trail is a matter of taste: never a reason to fail an attempt.
  const state = measured === 'fail' ? 'watch' : measured;
  return checkAgainst(
    view,
    'trail even',
    'trail even',
    spreadEv,
    `±${printNumber(spreadEv, 1)} EV along its way`,
    state,
  );
};

/** Whether a trail could be looked for at all: the face must be known, and the plates must have told what is not trail. */
const couldSeeTrail = (view: View): boolean =>
  hasFace(view.measurement) && !view.measurement.missing.some(sentence => /\btrail\b/i.test(sentence));

/** How the trail lies around the head. A frame without any trail fails in its coverage. */
export const trailChecks = (view: View): Check[] => {
  const {trail} = view.measurement;
  if (trail === null) {
    return couldSeeTrail(view) ? [checkAgainst(view, 'coverage', 'coverage', 0, 'no trail to be seen')] : [];
  }
  return [
    faceClear(view, trail),
    headGap(view, trail.headGap),
    coverage(view, trail.coverage),
    offset(view, trail.offset),
    clipped(view, trail.clippedFraction),
    ...(trail.unevenEv === null ? [] : [even(view, trail.unevenEv)]),
  ];
};
