import type {Camera} from '../../shared/camera.js';
import type {Clock} from '../../shared/clock.js';
import {usualCueSheet} from '../../shared/cues.js';
import {demoRig, type Rig} from '../../shared/rig.js';
import type {Arrangement, ObedientRoom} from '../../shared/room.js';
import {bodyOf, type Hands, type Taken} from './body.js';
import {insertCard} from './card.js';
import {spedClock} from './clock.js';
import type {Slip} from './scene/painting.js';
import {randomOf} from './scene/random.js';
import {type RoomSettings, usualRoom} from './scene/stage.js';
import {openThread} from './thread.js';
import type {SetSettings} from './work.js';

/** Picture size of the demo: enough for a large screen, rendered while the shutter is open. */
const DEMO_MEGAPIXELS = 6;

/** The seed that the demo shoot starts from: the first painting crosses the face, the second goes too high, the third is good. */
export const DEMO_SEED = 401;

/** Time for the first arrangement to be made, ms: an empty room needs no sitter. */
const WARM_AFTER_MS = 200;

export type StudioOptions = {
  /** Everything that chance decides follows from it. */
  seed?: number;
  /** How much faster simulated seconds go by than real ones; serves only where no clock is given. */
  speed?: number;
  /** Picture size; `demo` is about 6, a usual camera has 24. */
  megapixels?: 'demo' | number;
  /** The clock an exposure's seconds are counted on. */
  clock?: Clock;
  /** Wall-clock time for the pictures' Exif. */
  wallTime?: () => Date;
  room?: Partial<RoomSettings>;
  /** How much steeper than plain sRGB the camera's curve is at middle grey, 0 to 0.4; 0 writes plain sRGB. */
  contrast?: number;
  /** JPEG quality, 1 to 100. */
  quality?: number;
  /** A folder that serves as the card and outlives the camera; otherwise the card is gone with it. */
  cardFolder?: string;
  cardFrames?: number;
  /** What goes wrong when the sitter paints; null or nothing leaves it to chance. */
  slip?: Slip | null;
};

const sizeOf = (set: {sensorWidthMillimetres: number; sensorHeightMillimetres: number}, megapixels: number) => {
  const aspect = set.sensorWidthMillimetres / set.sensorHeightMillimetres;
  const even = (value: number): number => Math.max(16, Math.round(value / 8) * 8);
  const height = Math.sqrt((megapixels * 1e6) / aspect);
  return {width: even(height * aspect), height: even(height)};
};

/**
 * Opens the simulated dark room with a camera in it: it answers to the camera's settings and to what is arranged in the
 * room. The same seed and the same sequence of arrangements, settings and exposures give the same pixels.
 */
export const openStudio = async (
  options: StudioOptions = {},
): Promise<{camera: Camera; room: ObedientRoom; hands: Hands}> => {
  const seed = options.seed ?? DEMO_SEED;
  const clock = options.clock ?? spedClock(options.speed ?? 1);
  const megapixels =
    options.megapixels === undefined || options.megapixels === 'demo' ? DEMO_MEGAPIXELS : options.megapixels;
  const room: RoomSettings = {...usualRoom, ...options.room};
  const wallTime = options.wallTime ?? (() => new Date());
  const card = await insertCard(options.cardFolder ?? null);
  const thread = openThread();
  let arrangement: Arrangement = {
    rig: demoRig,
    firing: [],
    roomLights: false,
    sitter: true,
    painting: false,
    cues: usualCueSheet(8),
  };
  let exposures = 0;
  let paintings = 0;
  const serial = String(100_000 + (seed % 900_000));

  const setOf = (rig: Rig): SetSettings => ({rig, room, seed, ...sizeOf(rig.lens, megapixels)});
  const begin = (taken: Taken): ((openSeconds: number) => Promise<Uint8Array>) => {
    const numbered = {exposureNumber: exposures, paintingNumber: paintings, arrangement};
    exposures += 1;
    if (arrangement.painting) paintings += 1;
    return openSeconds => render(taken, openSeconds, numbered);
  };
  const render = async (
    taken: Taken,
    openSeconds: number,
    numbered: {exposureNumber: number; paintingNumber: number; arrangement: Arrangement},
  ): Promise<Uint8Array> => {
    const set = setOf(numbered.arrangement.rig);
    const {lens} = set.rig;
    return thread.take({
      kind: 'take',
      set,
      shot: {
        seed,
        ...numbered,
        exposure: taken.exposure,
        openSeconds,
        plannedSeconds: taken.plannedSeconds,
        focusMetres: taken.focusMetres,
        slip: options.slip ?? null,
      },
      sensor: {
        seed,
        frame: numbered.exposureNumber,
        iso: taken.exposure.iso,
        seconds: openSeconds,
        contrast: options.contrast ?? 0.22,
        vignettingEv: 0.5,
        sensorWidthMillimetres: lens.sensorWidthMillimetres,
        sensorHeightMillimetres: lens.sensorHeightMillimetres,
      },
      quality: options.quality ?? 92,
      exif: {
        maker: 'darkset',
        model: 'studio camera',
        serial,
        lens: `${lens.focalMillimetres} mm f/1.8`,
        takenAt: taken.takenAt,
        shutterSeconds: openSeconds,
        fNumber: taken.exposure.fNumber,
        iso: taken.exposure.iso,
        focalMillimetres: lens.focalMillimetres,
        width: set.width,
        height: set.height,
      },
    });
  };

  const {camera, hands} = bodyOf({
    identity: {kind: 'studio', maker: 'darkset', model: 'studio camera', serial, port: 'simulated'},
    clock,
    card,
    wallTime,
    begin,
    subjectMetres: () => arrangement.rig.mark.cameraDistanceMetres - 0.06,
    huntedMetres: () =>
      randomOf(seed, 'hunting', exposures).between(0.55, 0.85) * arrangement.rig.mark.cameraDistanceMetres,
    cardFrames: options.cardFrames ?? 400,
    onClose: async () => {
      clearTimeout(warming);
      await thread.close();
      await card.eject();
    },
  });
  // The sitter takes a while to be worked out; that is begun before anybody asks for a frame.
  const warming = setTimeout(() => {
    if (arrangement.sitter) thread.prepare(setOf(arrangement.rig));
  }, WARM_AFTER_MS);
  warming.unref();
  return {
    camera,
    hands,
    room: {
      arrange: next => {
        arrangement = structuredClone(next);
      },
    },
  };
};
