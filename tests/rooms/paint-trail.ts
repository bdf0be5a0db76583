import {type Camera, throughLensSoft} from './camera.js';
import {type LightMap, luminanceOf} from './light-map.js';
import type {Random} from './random.js';
import type {TrailRecipe} from './recipe.js';
import type {PixelEllipse, Posed, Scene} from './scene.js';
import {drawTrail, type Stroke} from './trail.js';
import {shapeLines} from './trail-shapes.js';
import {type CrossingTruth, crossingTruth, partInside, trailThresholdEv} from './truth.js';

/** A trail's own light on the sensor, and what it crosses. */
export type PaintedTrail = {onSensor: LightMap; own: Float32Array; crossing: CrossingTruth};

const hideBehind = (map: LightMap, posed: Posed): void => {
  for (let i = 0; i < posed.cover.length; i++) {
    const seen = 1 - posed.cover[i]!;
    for (let c = 0; c < 3; c++) map.data[i * 3 + c]! *= seen;
  }
};

const isWanted = (
  recipe: TrailRecipe,
  own: Float32Array,
  width: number,
  ellipses: readonly PixelEllipse[],
): boolean => {
  if (recipe.wants === 'any') return true;
  const crossing = crossingTruth(own, width, ellipses);
  if (recipe.wants === 'clear') return crossing === 'none';
  return crossing === 'crossing' && partInside(own, width, ellipses[ellipses.length - 1]!, trailThresholdEv) <= 0.16;
};

/**
 * Draws a trail, anew until its crossing is what the recipe wants; the last try stands if none is.
 * @param ellipses the face as set and, last, as moved with the head
 */
export const paintTrail = (
  scene: Scene,
  camera: Camera,
  recipe: TrailRecipe,
  posed: Posed,
  ellipses: readonly PixelEllipse[],
  random: Random,
): PaintedTrail => {
  const {width, height} = scene;
  const head = 2 * scene.face.ry;
  const face = {cx: 0, cy: 0, rx: scene.face.rx / head, ry: 0.5};
  const apart = Math.max(...ellipses.map(e => Math.hypot(e.cx - scene.face.cx, e.cy - scene.face.cy)));
  const draw = (attempt: number): LightMap => {
    const r = random.fork(`try ${attempt}`);
    // A crossing that covers too much or too little is drawn thinner and thicker in turn.
    const thickness = recipe.wants === 'crossing' && attempt > 3 ? r.between(0.4, 1.4) : 1;
    const reach = Math.max(0.7, recipe.width * Math.max(width, height) * thickness);
    const clearance = (reach * 4 + camera.blurSigma * 2 + apart + 3 + attempt) / head + 0.015;
    const lines = recipe.shapes.flatMap(shape => shapeLines(shape, face, r, clearance));
    const strokes = lines.map(
      (line, i): Stroke => ({
        points: line.map(([x, y]) => [scene.face.cx + x * head, scene.face.cy + y * head]),
        // The lens softens a line: a Gaussian grows by its blur, a tube gets edges.
        reach: recipe.brush === 'soft' ? Math.hypot(reach / 1.6, camera.blurSigma) : reach,
        edge: camera.blurSigma,
        brush: recipe.brush,
        ev: recipe.ev,
        tint: recipe.tints[i % recipe.tints.length]!,
        dash: recipe.dash && {lit: recipe.dash.lit, period: Math.max(reach * 4, recipe.dash.periodHeads * head)},
        wander: recipe.wander,
      }),
    );
    const map = drawTrail(width, height, strokes, r);
    if (recipe.behind) hideBehind(map, posed);
    return map;
  };
  let throughs = 0;
  for (let attempt = 0; ; attempt++) {
    const last = attempt >= 30 || throughs >= 5;
    const onSensor = draw(attempt);
    if (!last && !isWanted(recipe, luminanceOf(onSensor), width, ellipses)) continue;
    throughs += 1;
    throughLensSoft(onSensor, camera);
    const own = luminanceOf(onSensor);
    if (last || isWanted(recipe, own, width, ellipses))
      return {onSensor, own, crossing: crossingTruth(own, width, ellipses)};
  }
};
