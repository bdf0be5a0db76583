import {broadBlur} from './blur.js';
import {type CurveName, seenThrough} from './camera.js';
import {encodeSrgb, evOf, type LightMap, luminanceAt, luminanceOf} from './light-map.js';
import type {PaintedTrail} from './paint-trail.js';
import type {FrameRecipe, RoomRecipe} from './recipe.js';
import {ellipseIn, forFace, type Leak, type Pose, type Scene} from './scene.js';
import {
  type CrossingTruth,
  coverageIsFirm,
  median,
  type TrailPresence,
  type TrailTruth,
  trailPresence,
  trailTruth,
} from './truth.js';

export type FrameTruth = {
  file: string;
  kind: string;
  trailKind: string | null;
  /** EV against the light's own plate, with both shots' variation; null when it did not fire. */
  lights: {
    id: string;
    fired: boolean;
    ev: number | null;
    /** Part of what this light lit on the sitter and wall that is beyond full scale. */
    clipped: number;
  }[];
  ambient: {
    /** Wall level before any flash or trail. */
    levelEv: number;
    /** Rise over the dark plate of the wall's mean and of its median, scene-referred. */
    riseEv: number;
    riseMedianEv: number;
    /** What a perfect reader would find who takes the JPEG for plain sRGB. */
    riseSeenEv: number;
    side: Leak['side'] | null;
    /** Mean code the dark wall takes in the JPEG. */
    darkCode: number;
  };
  /** Strongest patch of each fired light on the wall; null where it lights none. */
  spill: {light: string; levelEv: number; at: {x: number; y: number}}[];
  face: {levelEv: number; leftRightEv: number; shift: {x: number; y: number}; doubled: boolean};
  /** Against the ellipse moved with the head, and as it was set on the plate. */
  trail: TrailTruth | null;
  trailAsSet: TrailTruth | null;
  presence: TrailPresence;
  crossing: CrossingTruth;
  coverageFirm: boolean;
};

export type RoomTruth = {
  room: string;
  head: string;
  wall: string;
  curve: CurveName;
  size: [number, number];
  headFraction: number;
  frames: FrameTruth[];
};

type Layers = {
  room: RoomRecipe;
  scene: Scene;
  recipe: FrameRecipe;
  file: string;
  pose: Pose;
  /** Variation of each light's plate, EV. */
  plates: Map<string, number>;
  /** Sum of each light's pops, as a factor. */
  fired: Map<string, number>;
  /** On the sensor: everything but the trail; the room alone; the leak alone. */
  map: LightMap;
  dark: LightMap;
  leak: LightMap | null;
  trail: PaintedTrail | null;
};

const mean = (values: readonly number[]): number =>
  values.reduce((sum, value) => sum + value, 0) / Math.max(1, values.length);

const ambientTruth = ({room, scene, recipe, dark, leak}: Layers): FrameTruth['ambient'] => {
  const before: number[] = [];
  const after: number[] = [];
  for (let i = 0; i < scene.wallMask.length; i += 5) {
    if (scene.wallMask[i] === 0) continue;
    const own = luminanceAt(dark.data, i * 3);
    before.push(own);
    after.push(own + (leak ? luminanceAt(leak.data, i * 3) : 0));
  }
  const seen = (values: readonly number[]): number => mean(values.map(value => seenThrough(room.camera.curve, value)));
  return {
    levelEv: evOf(median(after)),
    riseEv: Math.log2(mean(after) / mean(before)),
    riseMedianEv: Math.log2(median(after) / median(before)),
    riseSeenEv: Math.log2(seen(after) / seen(before)),
    side: recipe.leak?.side ?? null,
    darkCode: 255 * encodeSrgb(seen(before)),
  };
};

const spillTruth = ({scene, room, fired}: Layers): FrameTruth['spill'] => {
  const {width, height} = scene;
  return scene.lights.flatMap((light, index) => {
    const gain = fired.get(light.id);
    if (gain === undefined || light.patches.length === 0) return [];
    const onWall = Float32Array.from(scene.wallLight[index]!, (value, i) =>
      scene.wallMask[i] === 0 ? 0 : value * gain * luminanceAt(scene.wall.data, i * 3),
    );
    broadBlur(onWall, width, height, 1, Math.min(width, height) * 0.012);
    let best = 0;
    for (let i = 0; i < onWall.length; i++) if (scene.wallMask[i] === 1 && onWall[i]! > onWall[best]!) best = i;
    const r =
      Math.hypot((best % width) - width / 2, Math.floor(best / width) - height / 2) / (Math.hypot(width, height) / 2);
    const level = onWall[best]! * (1 - room.camera.vignette * r * r);
    if (level <= 0) return [];
    return [
      {light: light.id, levelEv: evOf(level), at: {x: (best % width) / width, y: Math.floor(best / width) / height}},
    ];
  });
};

const faceTruth = ({scene, pose, map, recipe}: Layers): FrameTruth['face'] => {
  const sums = {left: 0, right: 0, left_n: 0, right_n: 0};
  const {cx} = ellipseIn(scene, pose);
  forFace(scene, pose, (x, _y, i) => {
    const value = luminanceAt(map.data, i * 3);
    if (x < cx) {
      sums.left += value;
      sums.left_n += 1;
    } else {
      sums.right += value;
      sums.right_n += 1;
    }
  });
  const left = sums.left / Math.max(1, sums.left_n);
  const right = sums.right / Math.max(1, sums.right_n);
  return {
    levelEv: evOf((sums.left + sums.right) / Math.max(1, sums.left_n + sums.right_n)),
    leftRightEv: Math.log2(left / right),
    shift: {x: pose.dx / scene.width, y: pose.dy / scene.height},
    doubled: recipe.pops.some(pop => recipe.pops.some(other => other.light === pop.light && other.pose !== pop.pose)),
  };
};

/** What is true of a frame, from its layers. */
export const frameTruth = (layers: Layers): FrameTruth => {
  const {scene, recipe, file, pose, plates, fired, trail} = layers;
  const moved = ellipseIn(scene, pose);
  let lit = 0;
  let beyond = 0;
  for (const value of luminanceOf(layers.map)) {
    if (value > 0.02) lit += 1;
    if (value > 0.95) beyond += 1;
  }
  const clipped = beyond / Math.max(1, lit);
  return {
    file,
    kind: recipe.kind,
    trailKind: recipe.trail
      ? `${recipe.trail.shapes.join('+')} ${recipe.trail.ev.toFixed(1)} EV${recipe.trail.dash ? ' dashed' : ''}`
      : null,
    lights: scene.lights.map(({id}) => {
      const gain = fired.get(id);
      return gain === undefined
        ? {id, fired: false, ev: null, clipped: 0}
        : {id, fired: true, ev: Math.log2(gain) - (plates.get(id) ?? 0), clipped};
    }),
    ambient: ambientTruth(layers),
    spill: spillTruth(layers),
    face: faceTruth(layers),
    trail: trail && trailTruth(trail.own, scene.width, moved),
    trailAsSet: trail && trailTruth(trail.own, scene.width, scene.face),
    presence: trail ? trailPresence(trail.own) : 'none',
    crossing: trail?.crossing ?? 'none',
    coverageFirm: trail ? coverageIsFirm(trail.own, scene.width, moved) : true,
  };
};
