import type {Limits} from '../../shared/journal.js';

/** What a limit holds. `most`: the reading must not go above it; `least`: it must not fall below it. */
export type LimitRule = {
  bound: 'most' | 'least';
  usual: number;
  /** Width of the band inside the limit in which the reading is worth watching, in the limit's own unit. */
  watchBand: number;
  unit: string;
  /** What it limits, in a few words, for the place where it is edited. */
  words: string;
};

/*
 * The usual limits are our own, set for a low-key portrait painted in a black room, and meant to be edited. Where a
 * JPEG's contrast curve makes the measure good to a few tenths of an EV only, the limit leaves room for that.
 */
export const limitRules = {
  'face level low': {
    bound: 'least',
    usual: -3,
    watchBand: 0.7,
    unit: 'EV',
    words: 'darkest the face may be on average',
  },
  'face level high': {
    bound: 'most',
    usual: 1.3,
    watchBand: 0.5,
    unit: 'EV',
    words: 'brightest the face may be on average',
  },
  'face clipped': {
    bound: 'most',
    usual: 0.02,
    watchBand: 0.015,
    unit: 'of the face',
    words: 'part of the face without detail',
  },
  'face ratio': {
    bound: 'most',
    usual: 4.5,
    watchBand: 1,
    unit: 'stops',
    words: 'difference between the halves of the face',
  },
  'face clear': {
    bound: 'most',
    usual: 0.01,
    watchBand: 0.008,
    unit: 'of the face',
    words: 'part of the face that the trail crosses',
  },
  'flash strength': {
    bound: 'most',
    usual: 0.7,
    watchBand: 0.3,
    unit: 'EV',
    words: 'how far a flash may stray from its plate',
  },
  'head gap least': {
    bound: 'least',
    usual: 0.03,
    watchBand: 0.07,
    unit: 'heads',
    words: 'nearest the trail may pass over the head',
  },
  'head gap most': {
    bound: 'most',
    usual: 1.2,
    watchBand: 0.4,
    unit: 'heads',
    words: 'highest the trail may float over the head',
  },
  coverage: {
    bound: 'least',
    usual: 0.6,
    watchBand: 0.15,
    unit: 'of the way round',
    words: 'how far round the head the trail goes',
  },
  offset: {bound: 'most', usual: 0.7, watchBand: 0.3, unit: 'heads', words: 'how far the trail may drift to one side'},
  'trail clipped': {
    bound: 'most',
    usual: 0.35,
    watchBand: 0.2,
    unit: 'of the trail',
    words: 'part of the trail that is pure white',
  },
  'trail even': {
    bound: 'most',
    usual: 1.5,
    watchBand: 0.5,
    unit: 'EV',
    words: 'how uneven the trail may be along its way',
  },
  'room level': {bound: 'most', usual: -5.5, watchBand: 1, unit: 'EV', words: 'brightest the room may be'},
  'room rise': {
    bound: 'most',
    usual: 1,
    watchBand: 0.5,
    unit: 'EV',
    words: 'how far the room may rise over the dark plate',
  },
  spill: {bound: 'most', usual: -5, watchBand: 0.6, unit: 'EV', words: "brightest a flash's light may be on the wall"},
  sharpness: {
    bound: 'least',
    usual: 0.6,
    watchBand: 0.2,
    unit: 'of the plate',
    words: 'sharpness of the face against the plate',
  },
  shift: {
    bound: 'most',
    usual: 0.035,
    watchBand: 0.015,
    unit: 'of the frame',
    words: 'how far the head may be from the mark',
  },
} as const satisfies Record<string, LimitRule>;

export type LimitName = keyof typeof limitRules;

/** The limit names, in the order in which a person edits them. */
export const limitNames = Object.keys(limitRules) as LimitName[];

/** A limit of this shoot: its own, or the usual one. */
export const limitOf = (limits: Limits, name: LimitName): number => {
  const own = limits[name];
  return own !== undefined && Number.isFinite(own) ? own : limitRules[name].usual;
};

export type State = 'ok' | 'watch' | 'fail';

/** State of a reading against one limit: beyond it fails, inside the band next to it is to be watched. */
export const stateAgainst = (limits: Limits, name: LimitName, value: number): State => {
  const rule: LimitRule = limitRules[name];
  const room = (limitOf(limits, name) - value) * (rule.bound === 'most' ? 1 : -1);
  // A reading on the edge counts to the better side, also when sums of decimals miss it by their rounding.
  if (room < -1e-9) return 'fail';
  return room < rule.watchBand - 1e-9 ? 'watch' : 'ok';
};

const order: State[] = ['ok', 'watch', 'fail'];

/** The worse of states; ok for none. */
export const worst = (...states: State[]): State =>
  states.reduce<State>((a, b) => (order.indexOf(b) > order.indexOf(a) ? b : a), 'ok');
