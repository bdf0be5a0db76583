import type {CueSheet} from '../../shared/cues.js';
import {type Exposure, printAperture, printIso} from '../../shared/exposure.js';
import type {Limits} from '../../shared/journal.js';
import {plainText} from '../../shared/plain-text.js';
import type {FlashLight, Gel, Rig, Snoot} from '../../shared/rig.js';
import {printPower} from '../light/power.js';
import {printChange, printSeconds} from '../light/words.js';
import {degrees, metres, rounded, seconds} from './units.js';

/** What an attempt was made with. */
export type Setup = {rig: Rig; exposure: Exposure; cues: CueSheet; limits: Limits};

/**
 * What changed from one set-up to the next, each in plain words: "B moved 1.2 → 0.9 m". An empty list when nothing did.
 */
export const changesBetween = (before: Setup, after: Setup): string[] => [
  ...exposureChanges(before.exposure, after.exposure),
  ...(before.rig === after.rig ? [] : rigChanges(before.rig, after.rig)),
  ...(before.cues === after.cues ? [] : cueChanges(before.cues, after.cues)),
  ...(before.limits === after.limits ? [] : limitChanges(before.limits, after.limits)),
];

const rigChanges = (before: Rig, after: Rig): string[] => [
  ...lightChanges(before.lights, after.lights),
  ...roomChanges(before, after),
];

/** "what 1.2 → 0.9 m", or nothing when both print the same. */
const moved = (what: string, before: string, after: string, unit = ''): string[] =>
  before === after ? [] : [`${what} ${before} → ${after}${unit}`];

const exposureChanges = (before: Exposure, after: Exposure): string[] =>
  before === after
    ? []
    : [
        ...moved('time', printSeconds(before.shutterSeconds), printSeconds(after.shutterSeconds)),
        ...moved('aperture', printAperture(before.fNumber), printAperture(after.fNumber)),
        ...moved('sensitivity', printIso(before.iso), printIso(after.iso)),
      ];

/** What changed between two sets of lights: "B moved 1.2 → 0.9 m", "C added". */
export const lightChanges = (before: readonly FlashLight[], after: readonly FlashLight[]): string[] => {
  const ids = [...new Set([...before, ...after].map(light => light.id))].sort();
  return ids.flatMap(id => {
    const was = before.find(light => light.id === id);
    const is = after.find(light => light.id === id);
    if (!was) return [`${id} added`];
    if (!is) return [`${id} taken away`];
    return oneLight(was, is);
  });
};

const oneLight = (was: FlashLight, is: FlashLight): string[] => {
  const {id} = is;
  return [
    ...(was.on === is.on ? [] : [`${id} ${is.on ? 'on' : 'off'}`]),
    ...moved(`${id} power`, printPower(was.power), printPower(is.power)),
    ...moved(`${id} pops`, String(was.pops), String(is.pops)),
    ...moved(`${id} moved`, metres(was.distanceMetres), metres(is.distanceMetres), ' m'),
    ...moved(`${id} went round`, degrees(was.angleDegrees), degrees(is.angleDegrees)),
    ...moved(`${id} height`, metres(was.heightMetres), metres(is.heightMetres), ' m'),
    ...moved(`${id} aim`, degrees(was.aimOffDegrees), degrees(is.aimOffDegrees)),
    ...moved(`${id} zoom`, zoom(was), zoom(is)),
    ...moved(`${id} gel`, gel(was.gel), gel(is.gel)),
    ...moved(`${id} snoot`, snoot(was.snoot), snoot(is.snoot)),
    ...moved(`${id} guide number`, metres(was.guideNumberMetres), metres(is.guideNumberMetres), ' m'),
    ...moved(`${id} colour`, `${rounded(was.kelvin)}`, `${rounded(is.kelvin)}`, ' K'),
  ];
};

const zoom = ({zoomMillimetres}: FlashLight): string =>
  zoomMillimetres === null ? 'none' : `${rounded(zoomMillimetres)} mm`;
const gel = (worn: Gel | null): string =>
  worn ? `${plainText(worn.name)} (${rounded(worn.miredShift)} mired)` : 'none';
const snoot = (worn: Snoot | null): string =>
  worn
    ? `${plainText(worn.name)} (${rounded(worn.tubeMillimetres)} mm tube, ${rounded(worn.exitMillimetres)} mm exit)`
    : 'none';

const roomChanges = (before: Rig, after: Rig): string[] => [
  ...moved('painting light', plainText(before.painting.name), plainText(after.painting.name)),
  ...moved('painting light', level(before), level(after)),
  ...moved('camera to mark', metres(before.mark.cameraDistanceMetres), metres(after.mark.cameraDistanceMetres), ' m'),
  ...moved('mark to back wall', metres(before.mark.backWallMetres), metres(after.mark.backWallMetres), ' m'),
  ...moved('left wall', wall(before.mark.leftWallMetres), wall(after.mark.leftWallMetres)),
  ...moved('right wall', wall(before.mark.rightWallMetres), wall(after.mark.rightWallMetres)),
  ...moved('lens', rounded(before.lens.focalMillimetres), rounded(after.lens.focalMillimetres), ' mm'),
  ...moved('camera height', metres(before.lens.heightMetres), metres(after.lens.heightMetres), ' m'),
];

const level = ({painting}: Rig): string =>
  `${printChange(painting.trailEv)} at ${printAperture(painting.atFNumber)} ${printIso(painting.atIso)}`;
const wall = (distance: number | null): string => (distance === null ? 'none near' : `${metres(distance)} m`);

const cueChanges = (before: CueSheet, after: CueSheet): string[] => {
  const names = [...new Set([...before.cues, ...after.cues].map(cue => cue.name))];
  return [
    ...moved('countdown', seconds(before.countdownSeconds), seconds(after.countdownSeconds), ' s'),
    ...names.flatMap(name => moved(`cue "${name}"`, cueTimes(before, name), cueTimes(after, name))),
  ];
};

const cueTimes = (sheet: CueSheet, name: string): string => {
  const times = sheet.cues.filter(cue => cue.name === name).map(cue => `${seconds(cue.atSeconds)} s`);
  return times.length > 0 ? times.join(', ') : 'none';
};

const limitChanges = (before: Limits, after: Limits): string[] => {
  const ids = [...new Set([...Object.keys(before), ...Object.keys(after)])].sort();
  return ids.flatMap(id => moved(`limit "${plainText(id)}"`, limit(before[id]), limit(after[id])));
};

const limit = (value: number | undefined): string =>
  value === undefined ? 'usual' : String(Number(value.toPrecision(4)));
