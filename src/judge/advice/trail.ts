import type {Check, TrailReading} from '../../../shared/reading.js';
import {HEAD_HEIGHT_METRES} from '../../light/sway.js';
import {printLevel, printNumber, printPercent, printSmall} from '../../light/words.js';
import {limitOf, limitRules} from '../limits.js';
import {partOfFace, widestGap, yourSide} from '../sides.js';
import {type Candidate, type Ground, troubled, worthOf} from './candidate.js';

const crossing = (ground: Ground, check: Check, trail: TrailReading): Candidate => {
  const where = trail.crossingAt ? partOfFace(trail.crossingAt, ground.input.zones ?? null) : 'your face';
  const side = /your (left|right)/.exec(where)?.[1];
  return {
    do: side
      ? `on your ${side}, take the light behind your head or a hand's width farther out`
      : `keep the light behind your head, out of the way of ${where}`,
    because: `the trail crosses ${where}`,
    worth: worthOf(check, 45),
  };
};

const headGap = (ground: Ground, check: Check, heads: number | null): Candidate => {
  const {limits} = ground.input;
  const least = limitOf(limits, 'head gap least') + limitRules['head gap least'].watchBand;
  const most = limitOf(limits, 'head gap most') - limitRules['head gap most'].watchBand;
  const worth = worthOf(check, 24);
  if (heads === null) return {do: 'close the trail over your head', because: 'there is no trail over the head', worth};
  const wanted = (least + most) / 2;
  const way = printSmall(Math.abs(heads - wanted) * HEAD_HEIGHT_METRES);
  const lowerIt = heads > wanted;
  return {
    do: `paint ${lowerIt ? 'lower' : 'higher'} over the head, by about ${way}`,
    because: `the trail ${lowerIt ? 'floats' : 'passes'} ${printNumber(heads, 1)} heads over it; that makes it ${printNumber(wanted, 1)}`,
    worth,
  };
};

/** Where to paint what is missing, as the sitter knows it. Degrees clockwise from the right of the picture. */
const whereMissing = (directions: readonly boolean[]): {do: string; where: string; degrees: number} | null => {
  const gap = widestGap(directions);
  if (!gap) return null;
  if (gap.degrees >= 355)
    return {do: 'paint once round your head', where: 'anywhere round the head', degrees: gap.degrees};
  const middle = (gap.fromDegrees + gap.degrees / 2) % 360;
  const {degrees} = gap;
  if (middle >= 225 && middle < 315) return {do: 'close the trail over your head', where: 'over your head', degrees};
  // How far the gap reaches up each side from straight down.
  const yourLeft = 90 - gap.fromDegrees;
  const yourRight = gap.fromDegrees + degrees - 90;
  const below = gap.fromDegrees <= 90 && gap.fromDegrees + degrees >= 90;
  if (below && Math.abs(yourLeft - yourRight) < 30) {
    return {do: 'begin and end lower, at both shoulders', where: 'below your chin and at both shoulders', degrees};
  }
  const side = below ? (yourLeft > yourRight ? 'left' : 'right') : yourSide(Math.cos((middle * Math.PI) / 180));
  const lowerHalf = middle > 20 && middle < 160;
  return lowerHalf
    ? {do: `begin lower on your ${side}`, where: `low on your ${side}`, degrees}
    : {do: `paint farther round on your ${side}`, where: `on your ${side}`, degrees};
};

const coverage = (check: Check, trail: TrailReading | null): Candidate => {
  const worth = worthOf(check, 25);
  const missing = trail ? whereMissing(trail.directions) : null;
  if (!trail || !missing) {
    return {
      do: 'see that the painting light is on, and that it faces the camera while you paint',
      because: check.say,
      worth: worth + 20,
    };
  }
  const after = Math.min(1, trail.coverage + missing.degrees / 360);
  return {
    do: missing.do,
    because: `nothing ${missing.where} over ${Math.round(missing.degrees)}°; closing it brings the coverage from ${printPercent(trail.coverage)} to ${printPercent(after)}`,
    worth,
  };
};

const offset = (check: Check, trail: TrailReading): Candidate => {
  const heads = Math.abs(trail.offset.x);
  return {
    do: `paint ${printSmall(heads * HEAD_HEIGHT_METRES)} farther to your ${yourSide(-trail.offset.x)}`,
    because: `the trail hangs ${printNumber(heads, 1)} heads to your ${yourSide(trail.offset.x)}`,
    worth: worthOf(check, 20),
  };
};

const clipped = (check: Check, trail: TrailReading): Candidate => {
  const level =
    trail.levelEv === null ? '' : `, trail ${printLevel(trail.levelEv - 1)} instead of ${printLevel(trail.levelEv)}`;
  return {
    do: 'dim the painting light one stop, or move it twice as fast',
    because: `${check.say}; that makes it half as bright${level}`,
    worth: worthOf(check, 12),
  };
};

/** Advice on the trail, with directions as the sitter knows them. */
export const trailAdvice = (ground: Ground): Candidate[] => {
  const {trail} = ground.input.measurement;
  const candidates: Candidate[] = [];
  const cover = troubled(ground, 'coverage');
  if (cover) candidates.push(coverage(cover, trail));
  if (!trail) return candidates;
  const add = (id: string, make: (check: Check) => Candidate): void => {
    const check = troubled(ground, id);
    if (check) candidates.push(make(check));
  };
  add('face clear', check => crossing(ground, check, trail));
  add('head gap', check => headGap(ground, check, trail.headGap));
  add('offset', check => offset(check, trail));
  add('trail clipped', check => clipped(check, trail));
  add('trail even', check => ({
    do: 'move the light at one speed, and keep it turned to the camera',
    because: `the trail's brightness changes by ${check.say}`,
    worth: worthOf(check, 5),
  }));
  return candidates;
};
