import type {Exposure} from '../../../shared/exposure.js';
import {linearOfLevel} from '../../../shared/level.js';
import type {FlashLight, Rig} from '../../../shared/rig.js';
import {flashLevelEv} from '../../../src/light/flash.js';
import {kelvinThrough} from '../../../src/light/gel.js';
import {trailLevelEv} from '../../../src/light/painting.js';
import {roomLevelEv} from '../../../src/light/room.js';
import {addHalo, soften} from './blur.js';
import {lightColour, type Rgb} from './colour.js';
import {addInstant, type Instant, type Layers} from './compose.js';
import {lampOf} from './flash.js';
import {glowOnPerson, lampOnPerson, leakOnPerson, roomOnPerson} from './form.js';
import {darkness, type Light} from './light.js';
import {brushPoints, popTimes, type Shot} from './moments.js';
import {type Person, personOf} from './person.js';
import {hashOf, type Random, randomOf} from './random.js';
import {type Relief, reliefOf} from './relief.js';
import {flashOnWall, type LeakSide, leakDirection, leakStrength, litWall, wallOf} from './room.js';
import {drawTrail, glowPoints} from './trail.js';
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
  lightsOffEv100: -4.6,
  leak: {side: 'right', ev100: -3.6, kelvin: 6200},
  whiteKelvin: 4500,
  flashSpreadEv: 0.04,
  swayMetres: 0.005,
};

/** Colour temperature of the room's own lamps, and of what is left when they are off. */
const ROOM_KELVIN = {on: 2900, off: 3600};

/** Blur of the sharpest picture: glass and the filter before the sensor, σ in pixels of the view. */
const LENS_BLUR = 0.65;

/** The set as the camera sees it, with everything kept that does not change from frame to frame. */
export type Stage = {
  readonly view: View;
  /** Works out the sitter's relief now, so that the first exposure needn't. */
  warm(): void;
  /** The light that falls on the sensor in one exposure: linear, 1 is full scale. */
  expose(shot: Shot): Light;
};

/** Builds the set for a rig at a picture size. Slow once (the sitter's relief), quick for each exposure after. */
export const stageOf = (rig: Rig, width: number, height: number, room: RoomSettings, seed: number): Stage => {
  const view = viewOf(rig, width, height);
  const layers = layersOf(rig, view, seed);
  return {
    view,
    warm: () => {
      layers.sitter();
    },
    expose: shot => {
      const painted = brushPoints(shot, rig.mark.eyeHeightMetres);
      const relief = shot.arrangement.sitter ? layers.sitter().relief : null;
      const instants = instantsOf(rig, view, room, layers, shot, painted);
      const light = darkness(width, height);
      for (const instant of instants) addInstant(light, instant, relief);
      if (relief && painted.length > 0) {
        const {painting} = shot.arrangement.rig;
        const strength = linearOfLevel(trailLevelEv(painting, exposureOf(shot)));
        const colour = lightColour(painting.kelvin, room.whiteKelvin);
        drawTrail(light, view, relief, painted, strength, colour, shot.openSeconds, instants[0]!.shift);
      }
      soften(light, Math.hypot(LENS_BLUR, blurPixels(rig, shot, view)));
      addHalo(light, 0.008, width * 0.012);
      return light;
    },
  };
};

type LayerStore = {
  sitter(): {person: Person; relief: Relief};
  flash(rig: Rig, light: FlashLight, present: boolean): Layers;
  room(present: boolean): Layers;
  leak(side: LeakSide, present: boolean): Layers;
};

/** How many lights' layers are kept: a light that is moved leaves its old ones behind. */
const LAYERS_KEPT = 12;

/** Each light's layers at strength 1, made when first asked for. */
const layersOf = (rig: Rig, view: View, seed: number): LayerStore => {
  const kept = new Map<string, Layers>();
  const keep = (key: string, make: () => Layers): Layers => {
    const known = kept.get(key);
    if (known) return known;
    if (kept.size >= LAYERS_KEPT) kept.delete(kept.keys().next().value!);
    const layers = make();
    kept.set(key, layers);
    return layers;
  };
  const wall = wallOf(rig, view, hashOf(seed, 'wall'));
  let known: {person: Person; relief: Relief} | null = null;
  const sitter = (): {person: Person; relief: Relief} => {
    if (!known) {
      const person = personOf(rig.mark.eyeHeightMetres);
      known = {person, relief: reliefOf(view, person)};
    }
    return known;
  };
  return {
    sitter,
    flash: (on, light, present) => {
      const {zoomMillimetres, snoot, distanceMetres, angleDegrees, heightMetres, aimOffDegrees} = light;
      const stands = [zoomMillimetres, snoot, distanceMetres, angleDegrees, heightMetres, aimOffDegrees];
      return keep(JSON.stringify([present, ...stands]), () => {
        const lamp = lampOf(on, light);
        const body = present ? sitter() : null;
        return {
          wall: litWall(wall, flashOnWall(on, body?.person ?? null, lamp)),
          form: body && lampOnPerson(body.relief, body.person, lamp, view.eye),
        };
      });
    },
    room: present =>
      keep(`room ${present}`, () => ({
        wall: litWall(wall, () => 1),
        form: present ? roomOnPerson(sitter().relief) : null,
      })),
    leak: (side, present) =>
      keep(`leak ${side} ${present}`, () => {
        const strength = leakStrength(view, side);
        return {
          wall: litWall(wall, point => strength(point.at)),
          form: present ? leakOnPerson(sitter().relief, leakDirection(side), strength) : null,
        };
      }),
  };
};

const exposureOf = (shot: Shot): Exposure => ({...shot.exposure, shutterSeconds: shot.openSeconds});

const toned = (colour: Rgb, gain: number): Rgb => [colour[0] * gain, colour[1] * gain, colour[2] * gain];

/** A step aside, in pixels. */
const swayed = (chance: Random, metres: number, perMetre: number): {x: number; y: number} => ({
  x: chance.normal() * metres * perMetre,
  y: chance.normal() * metres * 0.6 * perMetre,
});

/** Everything that left light on the sensor, in the order of the sitter's places; the first is where he mostly stood. */
const instantsOf = (
  rig: Rig,
  view: View,
  room: RoomSettings,
  layers: LayerStore,
  shot: Shot,
  painted: ReturnType<typeof brushPoints>,
): Instant[] => {
  const {arrangement} = shot;
  const present = arrangement.sitter;
  const exposure = exposureOf(shot);
  const chance = randomOf(shot.seed, 'exposure', shot.exposureNumber);
  const perMetre = view.pixelsPerMetre(rig.mark.cameraDistanceMetres);
  const stance = swayed(chance, room.swayMetres, perMetre);
  const roomEv100 = arrangement.roomLights ? room.lightsOnEv100 : room.lightsOffEv100;
  const roomColour = lightColour(arrangement.roomLights ? ROOM_KELVIN.on : ROOM_KELVIN.off, room.whiteKelvin);
  const whole: Instant = {
    shift: stance,
    lights: [{of: layers.room(present), gain: toned(roomColour, 2 ** roomLevelEv(roomEv100, exposure))}],
  };
  if (room.leak) {
    const colour = lightColour(room.leak.kelvin, room.whiteKelvin);
    const gain = toned(colour, 2 ** roomLevelEv(room.leak.ev100, exposure));
    whole.lights.push({of: layers.leak(room.leak.side, present), gain});
  }
  const instants = [whole];
  for (const light of arrangement.rig.lights) {
    const level = flashLevelEv({...light, pops: 1}, exposure);
    const kelvin = light.gel ? kelvinThrough(light.kelvin, light.gel.miredShift) : light.kelvin;
    const colour = lightColour(kelvin, room.whiteKelvin);
    for (const [pop, seconds] of popTimes(shot, light.pops).entries()) {
      // Drawn for every flash, fired or not, so that firing one never changes the chance of another.
      const spread = chance.normal() * room.flashSpreadEv;
      const move = swayed(chance, room.swayMetres * 0.7, perMetre);
      if (!arrangement.firing.includes(light.id) || seconds > shot.openSeconds) continue;
      const lit = {of: layers.flash(arrangement.rig, light, present), gain: toned(colour, 2 ** (level + spread))};
      if (pop === 0) whole.lights.push(lit);
      else instants.push({shift: {x: stance.x + move.x, y: stance.y + move.y}, lights: [lit]});
    }
  }
  if (painted.length > 0) {
    const {painting} = arrangement.rig;
    const gain = linearOfLevel(trailLevelEv(painting, exposure)) * 0.004;
    const form = glowOnPerson(layers.sitter().relief, glowPoints(painted, shot.openSeconds));
    whole.lights.push({of: {wall: null, form}, gain: toned(lightColour(painting.kelvin, room.whiteKelvin), gain)});
  }
  return instants;
};

/** Blur of the sitter's plane, σ in pixels of the view: the circle of confusion of a thin lens, c = f²·|d−s| / (N·(s−f)·d). */
const blurPixels = (rig: Rig, shot: Shot, view: View): number => {
  const f = rig.lens.focalMillimetres / 1000;
  const d = rig.mark.cameraDistanceMetres - 0.06;
  const s = Math.max(f * 1.5, shot.focusMetres);
  const circle = ((f * f) / (shot.exposure.fNumber * (s - f))) * (Math.abs(d - s) / d);
  // A disc blurs like a Gaussian of a quarter of its diameter.
  return (circle / (rig.lens.sensorWidthMillimetres / 1000)) * view.width * 0.25;
};
