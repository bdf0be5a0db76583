import {mkdir, writeFile} from 'node:fs/promises';
import {join} from 'node:path';
import {ambientLight, leakLight} from './ambient.js';
import {buildScene} from './build-scene.js';
import {develop, throughLens, vignetted} from './camera.js';
import {addPop} from './flash.js';
import {type FrameTruth, frameTruth, type RoomTruth} from './frame-truth.js';
import {addLight, darkness, type LightMap} from './light-map.js';
import {paintTrail} from './paint-trail.js';
import {newHotPixels} from './plan.js';
import {type Random, seeded} from './random.js';
import type {FrameRecipe, RoomRecipe} from './recipe.js';
import {atRest, ellipseIn, type Pose, type Posed, poseSitter, type Scene} from './scene.js';

const poseOf = (scene: Scene, sway: FrameRecipe['sway']): Pose => ({
  dx: sway.amount * scene.width * Math.cos(sway.angle),
  dy: sway.amount * scene.width * Math.sin(sway.angle) * 0.6,
  turn: sway.turn,
  scale: sway.scale,
});

const takenAt = (second: number): string =>
  `2031:03:14 21:${String(10 + Math.floor(second / 60)).padStart(2, '0')}:${String(second % 60).padStart(2, '0')}`;

type Plates = {flashEv: Map<string, number>};

/** Dark plate and one plate a light, each with its own small sway and its flash's own variation. */
const shootPlates = async (room: RoomRecipe, scene: Scene, folder: string, random: Random): Promise<Plates> => {
  const flashEv = new Map<string, number>();
  const shots: (string | null)[] = [null, ...room.lights.map(light => light.id)];
  for (const [i, light] of shots.entries()) {
    const r = random.fork(light ?? 'dark');
    const pose: Pose = room.plateSway
      ? {...atRest, dx: r.normal() * room.plateSway * room.width, dy: r.normal() * room.plateSway * room.width * 0.5}
      : atRest;
    const posed = poseSitter(scene, pose);
    const map = ambientLight(scene, posed);
    if (light !== null) {
      const variation = r.normal() * room.flashSigma;
      flashEv.set(light, variation);
      addPop(map, scene, posed, pose, i - 1, 2 ** variation);
    }
    throughLens(map, room.camera);
    const file = await develop(map, room.camera, {
      random: r.fork('noise'),
      newHotPixels: newHotPixels(r, 3),
      balanceShift: [1, 1, 1],
      takenAt: takenAt(i * 20),
    });
    await writeFile(join(folder, light === null ? 'dark.jpg' : `light-${light}.jpg`), file);
  }
  return {flashEv};
};

/** What one frame is made of, before the camera develops it. */
type Exposed = {map: LightMap; truth: FrameTruth};

const exposeFrame = (
  room: RoomRecipe,
  scene: Scene,
  recipe: FrameRecipe,
  file: string,
  plates: Plates,
  random: Random,
): Exposed => {
  const pose = poseOf(scene, recipe.sway);
  const second: Pose = {
    ...pose,
    dx: pose.dx + recipe.between * scene.width,
    dy: pose.dy + recipe.between * scene.width * 0.15,
  };
  const poses = [pose, second] as const;
  const seen = new Map<0 | 1, Posed>();
  const posedIn = (which: 0 | 1): Posed => {
    const known = seen.get(which) ?? poseSitter(scene, poses[which]);
    seen.set(which, known);
    return known;
  };
  const dark = ambientLight(scene, posedIn(0));
  const leak = recipe.leak ? leakLight(scene, posedIn(0), recipe.leak) : null;
  const map = darkness(scene.width, scene.height);
  addLight(map, dark, 1);
  if (leak) addLight(map, leak, 1);
  const fired = new Map<string, number>();
  for (const pop of recipe.pops) {
    const gain = 2 ** (pop.setEv + random.normal() * room.flashSigma);
    fired.set(pop.light, (fired.get(pop.light) ?? 0) + gain);
    const index = scene.lights.findIndex(light => light.id === pop.light);
    addPop(map, scene, posedIn(pop.pose), poses[pop.pose], index, gain);
  }
  throughLens(map, room.camera);
  // Broad layers are the same blurred or not.
  vignetted(dark, room.camera);
  if (leak) vignetted(leak, room.camera);
  const ellipses = [scene.face, ellipseIn(scene, pose)];
  const trail = recipe.trail
    ? paintTrail(scene, room.camera, recipe.trail, posedIn(0), ellipses, random.fork('trail'))
    : null;
  const truth = frameTruth({room, scene, recipe, file, pose, plates: plates.flashEv, fired, map, dark, leak, trail});
  if (trail) addLight(map, trail.onSensor, 1);
  return {map, truth};
};

/** Builds a room and writes it: plates, zones.json, frames and truth.json. */
export const writeRoom = async (room: RoomRecipe, folder: string): Promise<RoomTruth> => {
  await mkdir(folder, {recursive: true});
  const scene = await buildScene(room);
  const random = seeded(`${room.seed}/shots`);
  const {width, height} = room;
  const {cx, cy, rx, ry} = scene.face;
  const zones = {face: {cx: cx / width, cy: cy / height, rx: rx / width, ry: ry / height}};
  await writeFile(join(folder, 'zones.json'), `${JSON.stringify(zones, null, 2)}\n`);
  const plates = await shootPlates(room, scene, folder, random.fork('plates'));
  const frames: FrameTruth[] = [];
  for (const [i, recipe] of room.frames.entries()) {
    const file = `frame-${String(i + 1).padStart(2, '0')}.jpg`;
    const r = random.fork(file);
    const {map, truth} = exposeFrame(room, scene, recipe, file, plates, r);
    const jpeg = await develop(map, room.camera, {
      random: r.fork('noise'),
      newHotPixels: newHotPixels(r, 4),
      balanceShift: recipe.balanceShift,
      takenAt: takenAt(600 + i * 40),
    });
    await writeFile(join(folder, file), jpeg);
    frames.push(truth);
  }
  const truth: RoomTruth = {
    room: room.name,
    head: room.head.name,
    wall: room.wall.kind,
    curve: room.camera.curve,
    size: [width * room.camera.enlarge, height * room.camera.enlarge],
    headFraction: room.headFraction,
    frames,
  };
  await writeFile(join(folder, 'truth.json'), `${JSON.stringify(truth, null, 1)}\n`);
  return truth;
};
