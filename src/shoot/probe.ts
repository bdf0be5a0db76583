import {rm} from 'node:fs/promises';
import path from 'node:path';
import {CameraFault} from '../../shared/camera.js';
import {type CueSheet, usualCueSheet} from '../../shared/cues.js';
import type {Exposure} from '../../shared/exposure.js';
import type {Measurement} from '../../shared/reading.js';
import type {Rig} from '../../shared/rig.js';
import type {Zones} from '../../shared/zones.js';
import type {Measurer} from '../frame/measurer.js';
import {type RoomFromProbe, roomFromProbe} from '../light/probe.js';
import {arrangement, type Exposing, pullAll} from './exposing.js';
import {untilAborted} from './stopping.js';

/** A probe is no longer than this where the camera's sensitivities allow. */
const PROBE_SECONDS = 0.3;
const HIGHEST_PROBE_ISO = 12_800;

/**
 * Exposures equal to this one, short and at high sensitivity: 8 s ISO 100 is ¼ s ISO 3200. The first is the one to try;
 * the others are for a camera that refuses it.
 */
export const probeExposures = (exposure: Exposure): Exposure[] => {
  const equal: Exposure[] = [];
  for (let {shutterSeconds, iso} = exposure; iso <= HIGHEST_PROBE_ISO; iso *= 2, shutterSeconds /= 2) {
    equal.push({...exposure, shutterSeconds, iso});
    if (shutterSeconds <= PROBE_SECONDS) break;
  }
  return equal.reverse();
};

/** What a probe has found. */
export type Probed = {
  /** As measured, but for the wall's level: that is the one of the full exposure, or the bound that it lies under. */
  measurement: Measurement;
  /** null where there was no wall to measure. */
  room: RoomFromProbe | null;
};

/**
 * Takes one probe of the dark room and measures it. The camera is set back before this resolves, whatever happened.
 * @param whenSet awaited when the camera is set and before it exposes: a countdown, so that setting costs no time in the dark
 * @throws CameraFault, or the stop's reason
 */
export const takeProbe = async (
  kit: Exposing & {measurer: Measurer},
  {exposure, rig, zones}: {exposure: Exposure; rig: Rig; zones: Zones | null},
  stop: AbortSignal,
  whenSet: () => Promise<void> = async () => undefined,
): Promise<Probed> => {
  const {camera, measurer, room, shootFolder} = kit;
  const folder = '.probe';
  const cues: CueSheet = {...usualCueSheet(PROBE_SECONDS, 0), cues: []};
  room?.arrange(arrangement(rig, cues, {firing: [], sitter: true, painting: false}));
  let back: Promise<unknown> | null = null;
  const setBack = () => (back ??= camera.set(exposure).catch(nothing => nothing));
  try {
    const set = await setFirst(kit, probeExposures(exposure));
    stop.throwIfAborted();
    await whenSet();
    stop.throwIfAborted();
    const nothing = (): void => undefined;
    const frames = await camera.expose({seconds: set.shutterSeconds, signal: stop, onOpen: nothing, onClose: nothing});
    stop.throwIfAborted();
    let file = '';
    await pullAll(
      {...kit, show: nothing},
      {kind: 'probe'},
      frames.slice(0, 1),
      {into: folder, known: new Set()},
      stop,
      async pulled => {
        file = path.join(shootFolder, pulled.path);
      },
    );
    if (file === '') throw new CameraFault('lost', 'The probe left no frame on the camera; try it once more.');
    const [measurement] = await Promise.all([untilAborted(measurer.measure(file, zones), stop), setBack()]);
    return probed(measurement, set, exposure);
  } finally {
    await setBack();
    await rm(path.join(shootFolder, folder), {recursive: true, force: true}).catch(nothing => nothing);
  }
};

/** What the probe's reading means for the exposure that it stands for. */
const probed = (measurement: Measurement, probe: Exposure, long: Exposure): Probed => {
  const {ambient} = measurement;
  const room = ambient.levelEv === null ? null : roomFromProbe(ambient.levelEv, probe, long);
  const levelEv = room && Math.round(room.levelEv * 100) / 100;
  return {measurement: {...measurement, ambient: {...ambient, levelEv}}, room};
};

/** Sets the first of these that the camera takes. */
const setFirst = async ({camera}: Exposing, choices: Exposure[]): Promise<Exposure> => {
  for (const choice of choices) {
    try {
      return (await camera.set(choice)).exposure ?? choice;
    } catch (error) {
      if (!(error instanceof CameraFault && error.reason === 'refused')) throw error;
    }
  }
  throw new CameraFault(
    'unable',
    'The camera offers no short exposure equal to the planned one, so it can make no probe.',
  );
};
