import type {Exposure} from '../../shared/exposure.js';
import {printAperture, printIso} from '../../shared/exposure.js';
import {type Offers, usualOffers} from './equivalent.js';
import {ev100, flashStopsBetween, stopsBetween} from './exposure.js';
import {finite} from './fault.js';
import {luxOfEv100, roomLevelEv} from './room.js';
import {printLevel, printNumber, printSeconds, printStops} from './words.js';

/** Level under which the room leaves nothing in the picture: code 4 to 5 of 255 in sRGB (computed). Our own choice. */
export const BURIED_EV = -7;

/** How dark a room must be for its light to fall to a level: EV at ISO 100 and lux, at most. */
export const darknessFor = (exposure: Exposure, wantedLevelEv: number): {roomEv100: number; lux: number} => {
  const roomEv100 = finite('The wanted level', wantedLevelEv) + ev100(exposure);
  return {roomEv100, lux: luxOfEv100(roomEv100)};
};

const steps: [levelEv: number, words: string][] = [
  [-1, 'the room lights the picture'],
  [-3, 'the room is plainly to be seen'],
  [-5, 'shapes of the room can be made out'],
  [-7, 'almost black; brightening the picture later brings it back'],
  [-9, 'black on any screen; only strong brightening brings it back'],
];

/** What a level of the room means, in words. Steps by the 8-bit code of the level (sRGB, computed). */
export const describeRoom = (levelEv: number): string =>
  steps.find(([least]) => levelEv > least)?.[1] ?? 'black: less than one step of an 8-bit picture';

/** One way to bury the room: by one setting, by several together, or by leaving it as it is. */
export type Burial = {
  by: 'time' | 'ISO' | 'aperture' | 'together' | 'dark';
  to: Exposure;
  /** The level that the room then has, EV. */
  levelEv: number;
  reaches: boolean;
  /** What each flash must give more to keep its level, EV; the trail loses as much. */
  flashEv: number;
  /** How dear it is, in stops of trouble; our own weighing. */
  cost: number;
  say: string;
};

/** Smallest aperture that is advised: beyond it diffraction softens the picture (Airy disc of 21 µm at f/16, computed). */
const SMALLEST_APERTURE = 16;

export type BurialOptions = {
  wantedLevelEv?: number;
  /** Shortest time in which the trail can still be painted, seconds. From memory of practice. */
  leastSeconds?: number;
  offers?: Offers;
};

/** The first of the values, in this order, that brings the room down far enough; else the last of them; null for none. */
const firstEnough = (values: readonly number[], reaches: (value: number) => boolean): number | null =>
  values.find(reaches) ?? values.at(-1) ?? null;

type Step = {by: 'time' | 'ISO' | 'aperture'; to: Exposure};

/** The next step of each setting that darkens the room, as far as is needed or as it goes. */
const stepsDown = (from: Exposure, enough: (to: Exposure) => boolean, least: number, offers: Offers): Step[] => {
  const {shutterSeconds, fNumbers, isos} = offers;
  const seconds = firstEnough(
    shutterSeconds.filter(s => s < from.shutterSeconds && s >= least).toSorted((a, b) => b - a),
    value => enough({...from, shutterSeconds: value}),
  );
  const iso = firstEnough(
    isos.filter(value => value < from.iso).toSorted((a, b) => b - a),
    value => enough({...from, iso: value}),
  );
  const fNumber = firstEnough(
    fNumbers.filter(value => value > from.fNumber && value <= SMALLEST_APERTURE).toSorted((a, b) => a - b),
    value => enough({...from, fNumber: value}),
  );
  return [
    ...(seconds === null ? [] : [{by: 'time' as const, to: {...from, shutterSeconds: seconds}}]),
    ...(iso === null ? [] : [{by: 'ISO' as const, to: {...from, iso}}]),
    ...(fNumber === null ? [] : [{by: 'aperture' as const, to: {...from, fNumber}}]),
  ];
};

/** What a way costs, in words: nothing said of what stays. */
const price = (from: Exposure, to: Exposure, flashEv: number): string => {
  const parts = [
    ...(to.shutterSeconds < from.shutterSeconds
      ? [`${printSeconds(from.shutterSeconds - to.shutterSeconds)} less to paint`]
      : []),
    ...(flashEv > 0.01
      ? [`flashes must give ${printStops(flashEv)} more and the trail loses as much`]
      : ['flashes and trail stay']),
    ...(to.fNumber > Math.max(11, from.fNumber) ? ['diffraction softens the picture'] : []),
  ];
  return parts.join(', ');
};

/** "3.2 s, f/10 and ISO 50": what is set otherwise. */
const named = (from: Exposure, to: Exposure): string => {
  const parts = [
    ...(to.shutterSeconds === from.shutterSeconds ? [] : [printSeconds(to.shutterSeconds)]),
    ...(to.fNumber === from.fNumber ? [] : [printAperture(to.fNumber)]),
    ...(to.iso === from.iso ? [] : [printIso(to.iso)]),
  ];
  return parts.join(', ').replace(/, ([^,]*)$/, ' and $1');
};

/**
 * Ways to bring the room down to a level, the cheapest first. Time costs least: it touches neither flash nor trail,
 * only the seconds to paint in. ISO and aperture take from flash and trail as much as from the room, and an aperture
 * beyond f/11 costs sharpness too. Where no setting is enough alone, the way that uses time first, then ISO, then
 * aperture comes before the others. Where the room is dark enough already there is one way: leave it.
 * @throws LightFault
 */
export const buryRoom = (exposure: Exposure, roomEv100: number, options: BurialOptions = {}): Burial[] => {
  const {wantedLevelEv = BURIED_EV, leastSeconds = 3, offers = usualOffers} = options;
  const now = roomLevelEv(roomEv100, exposure);
  if (now <= wantedLevelEv) {
    const say = `The room is dark enough: ${printLevel(now)}.`;
    return [{by: 'dark', to: exposure, levelEv: now, reaches: true, flashEv: 0, cost: 0, say}];
  }
  const levelAt = (to: Exposure): number => now + stopsBetween(exposure, to);
  const enough = (to: Exposure): boolean => levelAt(to) <= wantedLevelEv + 1e-6;
  const way = (by: Burial['by'], to: Exposure): Burial => {
    const flashEv = 0 - flashStopsBetween(exposure, to);
    const secondsStops = Math.log2(exposure.shutterSeconds / to.shutterSeconds);
    const dear = to.fNumber > Math.max(11, exposure.fNumber) ? 1 : to.fNumber > exposure.fNumber ? 0.1 : 0;
    return {
      by,
      to,
      levelEv: levelAt(to),
      reaches: enough(to),
      flashEv,
      cost: 0.3 * secondsStops + flashEv + dear,
      say: `${named(exposure, to)}: the room falls to ${printLevel(levelAt(to))}; ${price(exposure, to, flashEv)}.`,
    };
  };
  const ways = stepsDown(exposure, enough, leastSeconds, offers).map(step => way(step.by, step.to));
  if (!ways.some(each => each.reaches)) {
    let to = exposure;
    for (const by of ['time', 'ISO', 'aperture'] as const) {
      if (!enough(to)) to = stepsDown(to, enough, leastSeconds, offers).find(step => step.by === by)?.to ?? to;
    }
    if (ways.length > 1) ways.push(way('together', to));
  }
  return ways.sort((a, b) => Number(b.reaches) - Number(a.reaches) || a.cost - b.cost);
};

/** "The room must be at 0.02 lx or less": what a wanted level asks of the room, as a sentence. */
export const describeDarkness = (exposure: Exposure, wantedLevelEv: number): string => {
  const {roomEv100, lux} = darknessFor(exposure, wantedLevelEv);
  const amount = lux >= 1 ? printNumber(lux, 1) : String(Number(lux.toPrecision(2)));
  return `For ${printLevel(wantedLevelEv)} the room must be at EV ${printNumber(roomEv100, 1)} (${amount} lx) or darker.`;
};
