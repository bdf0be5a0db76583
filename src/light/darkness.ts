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

/** One way to bury the room. */
export type Burial = {
  by: 'time' | 'ISO' | 'aperture' | 'dark';
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

/**
 * Ways to bring the room down to a level by one setting, the cheapest first. Time costs least: it touches neither flash
 * nor trail, only the seconds to paint in. ISO and aperture take from flash and trail as much as from the room, and
 * the aperture beyond f/11 costs sharpness too. Where the room is dark enough already there is one way: leave it.
 * @throws LightFault
 */
export const buryRoom = (exposure: Exposure, roomEv100: number, options: BurialOptions = {}): Burial[] => {
  const {wantedLevelEv = BURIED_EV, leastSeconds = 3, offers = usualOffers} = options;
  const now = roomLevelEv(roomEv100, exposure);
  if (now <= wantedLevelEv) {
    return [
      {
        by: 'dark',
        to: exposure,
        levelEv: now,
        reaches: true,
        flashEv: 0,
        cost: 0,
        say: `The room is dark enough: ${printLevel(now)}.`,
      },
    ];
  }
  const candidate = (by: Burial['by'], to: Exposure): Omit<Burial, 'cost' | 'say'> => {
    const levelEv = now + stopsBetween(exposure, to);
    return {by, to, levelEv, reaches: levelEv <= wantedLevelEv + 1e-6, flashEv: 0 - flashStopsBetween(exposure, to)};
  };
  const enough = (to: Exposure): boolean => candidate('time', to).reaches;
  const ways: Burial[] = [];
  const seconds = firstEnough(
    offers.shutterSeconds.filter(s => s < exposure.shutterSeconds && s >= leastSeconds).toSorted((a, b) => b - a),
    shutterSeconds => enough({...exposure, shutterSeconds}),
  );
  if (seconds !== null) {
    const way = candidate('time', {...exposure, shutterSeconds: seconds});
    const lost = Math.log2(exposure.shutterSeconds / seconds);
    ways.push({
      ...way,
      cost: 0.3 * lost,
      say: `${printSeconds(seconds)} instead of ${printSeconds(exposure.shutterSeconds)}: the room falls to ${printLevel(way.levelEv)}; flashes and trail stay, with ${printSeconds(exposure.shutterSeconds - seconds)} less to paint.`,
    });
  }
  const paid = (flashEv: number): string =>
    `flashes must give ${printStops(flashEv)} more, and the trail loses as much`;
  const iso = firstEnough(
    offers.isos.filter(value => value < exposure.iso).toSorted((a, b) => b - a),
    value => enough({...exposure, iso: value}),
  );
  if (iso !== null) {
    const way = candidate('ISO', {...exposure, iso});
    ways.push({
      ...way,
      cost: way.flashEv,
      say: `${printIso(iso)}: the room falls to ${printLevel(way.levelEv)}; ${paid(way.flashEv)}.`,
    });
  }
  const fNumber = firstEnough(
    offers.fNumbers.filter(value => value > exposure.fNumber && value <= SMALLEST_APERTURE).toSorted((a, b) => a - b),
    value => enough({...exposure, fNumber: value}),
  );
  if (fNumber !== null) {
    const way = candidate('aperture', {...exposure, fNumber});
    const softer = fNumber > 11 ? ', and diffraction softens the picture' : '';
    ways.push({
      ...way,
      cost: way.flashEv + (fNumber > 11 ? 1 : 0.1),
      say: `${printAperture(fNumber)}: the room falls to ${printLevel(way.levelEv)}; ${paid(way.flashEv)}${softer}.`,
    });
  }
  return ways.sort((a, b) => Number(b.reaches) - Number(a.reaches) || a.cost - b.cost);
};

/** "The room must be at 0.02 lx or less": what a wanted level asks of the room, as a sentence. */
export const describeDarkness = (exposure: Exposure, wantedLevelEv: number): string => {
  const {roomEv100, lux} = darknessFor(exposure, wantedLevelEv);
  const amount = lux >= 1 ? printNumber(lux, 1) : String(Number(lux.toPrecision(2)));
  return `For ${printLevel(wantedLevelEv)} the room must be at EV ${printNumber(roomEv100, 1)} (${amount} lx) or darker.`;
};
