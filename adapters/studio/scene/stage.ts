import type {Exposure} from '../../../shared/exposure.js';
import {linearOfLevel} from '../../../shared/level.js';
import type {FlashLight, Rig} from '../../../shared/rig.js';
import type {Arrangement} from '../../../shared/room.js';
import {flashLevelEv} from '../../../src/light/flash.js';
import {kelvinThrough} from '../../../src/light/gel.js';
import {trailLevelEv} from '../../../src/light/painting.js';
import {roomLevelEv} from '../../../src/light/room.js';
import {addHalo, soften} from './blur.js';
import {lightColour, type Rgb} from './colour.js';
import {lampOf} from './flash.js';
import {type Form, glowOnPerson, lampOnPerson, leakOnPerson, roomOnPerson} from './form.js';
import {type BrushPoint, paintingOf, type Slip} from './painting.js';
import {type Person, personOf} from './person.js';
import {hashOf, randomOf} from './random.js';
import {type Relief, reliefOf} from './relief.js';
import {darkness, flashOnWall, type LeakSide, type Light, leakShade, wallLight} from './room.js';
import type {Vector} from './space.js';
import {drawTrail} from './trail.js';
import {type View, viewOf} from './view.js';

/** The room and the habits of its light, apart from what the rig says. */
export type RoomSettings = {
  /** EV at ISO 100 of the room with its lights on, and of what is left with them off. */
  lightsOnEv100: number;
  lightsOffEv100: number;
  /** Light that comes in where it should not; null for none. EV at ISO 100 at the side where it comes in. */
  leak: {side: LeakSide; ev100: number; kelvin: number} | null;
  /** Colour temperature at which the camera's pictures are neutral. */
  whiteKelvin: number;
  /** Shot-to-shot variation of the flashes, σ in EV. */
  flashSpreadEv: number;
  /** How far the sitter stands off from frame to frame, σ in metres. */
  swayMetres: number;
};

export const usualRoom: RoomSettings = {
  lightsOnEv100: 5.5,
  lightsOffEv100: -6.5,
  leak: {side: 'right', ev100: -4.6, kelvin: 6200},
  whiteKelvin: 4200,
  flashSpreadEv: 0.04,
  swayMetres: 0.005,
};

/** One exposure as the room sees it. */
export type Shot = {
  seed: number;
  /** Number of the exposure and of the painting since the room was opened, from 0. */
  exposureNumber: number;
  paintingNumber: number;
  arrangement: Arrangement;
  exposure: Exposure;
  /** How long the shutter was really open, and how long it was meant to be, seconds. */
  openSeconds: number;
  plannedSeconds: number;
  /** Distance the lens is focused on, metres. */
  focusMetres: number;
  /** The slip that the sitter makes; null leaves it to chance. */
  slip: Slip | null;
};

/** The set as the camera sees it, with everything kept that does not change from frame to frame. */
export type Stage = {
  readonly view: View;
  /** Works out the sitter's relief now, so that the first exposure needn't. */
  warm(): void;
  /** The light that falls on the sensor in one exposure: linear, 1 is full scale. */
  expose(shot: Shot): Light;
};

type Layers = {wall: Light; form: Form};
type Instant = {shift: {x: number; y: number}; layers: {of: Layers; gain: Rgb}[]};

const toned = (colour: Rgb, gain: number): Rgb => [colour[0] * gain, colour[1] * gain, colour[2] * gain];

/** Builds the set for a rig at a picture size. Slow once (the sitter's relief), quick for each exposure after. */
export const stageOf = (rig: Rig, width: number, height: number, room: RoomSettings, seed: number): Stage => {
  const view = viewOf(rig, width, height);
  const wallSalt = hashOf(seed, 'wall');
  let person: Person | null = null;
  let relief: Relief | null = null;
  const sitter = (): {person: Person; relief: Relief} => {
    person ??= personOf(rig.mark.eyeHeightMetres);
    relief ??= reliefOf(view, person);
    return {person, relief};
  };
  const kept = new Map<string, Layers>();
  const keep = (key: string, make: () => Layers): Layers => {
    const known = kept.get(key);
    if (known) return known;
    if (kept.size > 14) kept.delete(kept.keys().next().value!);
    const layers = make();
    kept.set(key, layers);
    return layers;
  };
  const nobody: Form = new Float32Array(0);
  const flashLayers = (on: Rig, light: FlashLight, present: boolean): Layers => {
    const {zoomMillimetres, snoot, distanceMetres, angleDegrees, heightMetres, aimOffDegrees} = light;
    const key = JSON.stringify([
      present,
      zoomMillimetres,
      snoot,
      distanceMetres,
      angleDegrees,
      heightMetres,
      aimOffDegrees,
    ]);
    return keep(key, () => {
      const lamp = lampOf(on, light);
      return {
        wall: wallLight(on, view, wallSalt, flashOnWall(on, present ? sitter().person : null, lamp)),
        form: present ? lampOnPerson(sitter().relief, sitter().person, lamp, view.eye) : nobody,
      };
    });
  };
  const roomLayers = (present: boolean): Layers =>
    keep(`room ${present}`, () => ({
      wall: wallLight(rig, view, wallSalt, () => 1),
      form: present ? roomOnPerson(sitter().relief) : nobody,
    }));
  const leakLayers = (side: LeakSide, present: boolean): Layers =>
    keep(`leak ${side} ${present}`, () => {
      const strength = leakShade(view, side);
      const from: Vector = {
        left: [-0.9, 0.1, -0.3],
        right: [0.9, 0.1, -0.3],
        top: [0, 0.95, -0.2],
        bottom: [0, -0.95, -0.2],
      }[side] as unknown as Vector;
      return {
        wall: wallLight(rig, view, wallSalt, point => strength(point.at)),
        form: present ? leakOnPerson(sitter().relief, from, strength) : nobody,
      };
    });

  const expose = (shot: Shot): Light => {
    const {arrangement} = shot;
    const present = arrangement.sitter;
    const chance = randomOf(shot.seed, 'exposure', shot.exposureNumber);
    const exposure: Exposure = {...shot.exposure, shutterSeconds: shot.openSeconds};
    const perMetre = view.pixelsPerMetre(rig.mark.cameraDistanceMetres);
    const sway = (metres: number): {x: number; y: number} => ({
      x: chance.normal() * metres * perMetre,
      y: chance.normal() * metres * 0.6 * perMetre,
    });
    const stance = sway(room.swayMetres);
    const ambient: Instant = {
      shift: stance,
      layers: [
        {
          of: roomLayers(present),
          gain: toned(
            lightColour(arrangement.roomLights ? 2900 : 3600, room.whiteKelvin),
            2 ** roomLevelEv(arrangement.roomLights ? room.lightsOnEv100 : room.lightsOffEv100, exposure),
          ),
        },
      ],
    };
    if (room.leak) {
      ambient.layers.push({
        of: leakLayers(room.leak.side, present),
        gain: toned(lightColour(room.leak.kelvin, room.whiteKelvin), 2 ** roomLevelEv(room.leak.ev100, exposure)),
      });
    }
    const instants = [ambient];
    for (const light of arrangement.rig.lights) {
      const level = flashLevelEv({...light, pops: 1}, exposure);
      const kelvin = light.gel ? kelvinThrough(light.kelvin, light.gel.miredShift) : light.kelvin;
      const colour = lightColour(kelvin, room.whiteKelvin);
      for (const [index, seconds] of popsOf(shot, light.pops).entries()) {
        const spread = chance.normal() * room.flashSpreadEv;
        const move = index === 0 ? {x: 0, y: 0} : sway(room.swayMetres * 0.7);
        if (!arrangement.firing.includes(light.id) || seconds > shot.openSeconds) continue;
        instants.push({
          shift: {x: stance.x + move.x, y: stance.y + move.y},
          layers: [{of: flashLayers(arrangement.rig, light, present), gain: toned(colour, 2 ** (level + spread))}],
        });
      }
    }
    const painted = present && arrangement.painting ? paintedPoints(shot, rig.mark.eyeHeightMetres) : [];
    const trailLevel = linearOfLevel(trailLevelEv(arrangement.rig.painting, exposure));
    const wand = lightColour(arrangement.rig.painting.kelvin, room.whiteKelvin);
    if (painted.length > 0) {
      instants.push({
        shift: stance,
        layers: [
          {
            of: {wall: darkness(0, 0), form: glowOnPerson(sitter().relief, glowFrom(painted, shot))},
            gain: toned(wand, trailLevel * 0.004),
          },
        ],
      });
    }
    const light = darkness(width, height);
    for (const instant of instants) add(light, instant, present ? sitter().relief : null);
    soften2(light, blurPixels(rig, shot, view));
    if (painted.length > 0)
      drawTrail(light, view, sitter().relief, painted, trailLevel, wand, shot.openSeconds, stance);
    addHalo(light, 0.014, width * 0.012);
    return light;
  };
  return {view, warm: () => void sitter(), expose};
};

const soften2 = (light: Light, pixels: number): void => {
  if (pixels > 0.4) soften(light, pixels);
};

/** When the flashes are fired by hand: at their cues, a moment late as hands are, each pop of a light after the other. */
const popsOf = (shot: Shot, pops: number): number[] => {
  const cues = shot.arrangement.cues.cues.filter(cue => cue.name === 'flash').map(cue => cue.atSeconds);
  const first = cues[0] ?? shot.plannedSeconds * 0.8125;
  const left = Math.max(0, shot.plannedSeconds - first);
  const pace = Math.min(0.5, (left * 0.7) / pops);
  return Array.from({length: pops}, (_, pop) => {
    const cue = cues.length >= pops ? cues[pop]! : first + pop * pace;
    return cue + Math.min(0.2, left * 0.2);
  });
};

const paintedPoints = (shot: Shot, eyeHeight: number): BrushPoint[] => {
  const when = (name: string, otherwise: number): number =>
    shot.arrangement.cues.cues.find(cue => cue.name === name)?.atSeconds ?? otherwise * shot.plannedSeconds;
  const from = when('paint', 0.0625) + 0.12;
  const to = when('hold still', 0.6875) + 0.1;
  if (to <= from) return [];
  return paintingOf(shot.seed, shot.paintingNumber, eyeHeight, from, to, shot.slip).points;
};

/** A few dozen points stand for the whole way when it comes to the glow on the sitter. */
const glowFrom = (points: BrushPoint[], shot: Shot): {at: Vector; weight: number}[] => {
  const step = Math.max(1, Math.floor(points.length / 40));
  const few = points.filter((_, i) => i % step === 0 && points[i]!.seconds <= shot.openSeconds);
  return few.map(point => ({at: point.at, weight: point.shine / 40}));
};

/** Blur of the sitter's plane, σ in pixels of the view: the circle of confusion of a thin lens. */
const blurPixels = (rig: Rig, shot: Shot, view: View): number => {
  const f = rig.lens.focalMillimetres / 1000;
  const d = rig.mark.cameraDistanceMetres - 0.06;
  const s = Math.max(f * 1.5, shot.focusMetres);
  const circle = ((f * f) / (shot.exposure.fNumber * (s - f))) * (Math.abs(d - s) / d);
  return (circle / (rig.lens.sensorWidthMillimetres / 1000)) * view.width * 0.32;
};

/** Adds what one instant leaves: the wall where the sitter does not stand, the sitter where he does. */
const add = (light: Light, instant: Instant, relief: Relief | null): void => {
  const {width, height} = light;
  for (const {of, gain} of instant.layers) {
    for (let i = 0; i < of.wall.rgb.length; i += 3) {
      light.rgb[i] = light.rgb[i]! + of.wall.rgb[i]! * gain[0];
      light.rgb[i + 1] = light.rgb[i + 1]! + of.wall.rgb[i + 1]! * gain[1];
      light.rgb[i + 2] = light.rgb[i + 2]! + of.wall.rgb[i + 2]! * gain[2];
    }
    if (!relief || of.form.length === 0) continue;
    const x0 = relief.left + Math.floor(instant.shift.x);
    const y0 = relief.top + Math.floor(instant.shift.y);
    const fx = instant.shift.x - Math.floor(instant.shift.x);
    const fy = instant.shift.y - Math.floor(instant.shift.y);
    for (let y = Math.max(0, y0); y < Math.min(height, y0 + relief.height + 1); y += 1) {
      for (let x = Math.max(0, x0); x < Math.min(width, x0 + relief.width + 1); x += 1) {
        addPixel(light, (y * width + x) * 3, of, gain, relief, x - x0, y - y0, fx, fy);
      }
    }
  }
};

/** One pixel of the shifted sitter: the four pixels of the relief that share it, weighted with their cover. */
const addPixel = (
  light: Light,
  to: number,
  of: Layers,
  gain: Rgb,
  relief: Relief,
  rx: number,
  ry: number,
  fx: number,
  fy: number,
): void => {
  let cover = 0;
  let r = 0;
  let g = 0;
  let b = 0;
  for (let dy = 0; dy <= 1; dy += 1) {
    for (let dx = 0; dx <= 1; dx += 1) {
      const sx = rx - dx;
      // Past the picture's lower edge the coat goes on as its last row.
      const sy = Math.min(relief.height - 1, ry - dy);
      if (sx < 0 || sy < 0 || sx >= relief.width) continue;
      const at = sy * relief.width + sx;
      const part = relief.cover[at]! * (dx === 0 ? 1 - fx : fx) * (dy === 0 ? 1 - fy : fy);
      cover += part;
      r += part * of.form[at * 3]!;
      g += part * of.form[at * 3 + 1]!;
      b += part * of.form[at * 3 + 2]!;
    }
  }
  if (cover <= 0) return;
  const wall = of.wall.rgb;
  light.rgb[to] = light.rgb[to]! + gain[0] * (r - cover * (wall[to] ?? 0));
  light.rgb[to + 1] = light.rgb[to + 1]! + gain[1] * (g - cover * (wall[to + 1] ?? 0));
  light.rgb[to + 2] = light.rgb[to + 2]! + gain[2] * (b - cover * (wall[to + 2] ?? 0));
};
