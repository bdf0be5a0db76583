import {type LightMap, linearOf, luminanceAt, smoothstep} from './light-map.js';
import {atRest, forFace, type Light, type Patch, type Pose, type Posed, poseSitter, type Scene} from './scene.js';

/** How much of a light a point of the sitter sends back, before reflectance and exposure. */
const shade = (
  scene: Scene,
  light: Light,
  pose: Pose,
  x: number,
  y: number,
  nx: number,
  ny: number,
  nz: number,
): number => {
  const {face, headPixels} = scene;
  const [lx, ly, lz] = light.direction;
  let value: number;
  if (light.form === 'gradient') {
    const across =
      ((x - face.cx - pose.dx) * lx + (y - face.cy - pose.dy) * ly) / headPixels / Math.max(0.2, Math.hypot(lx, ly));
    value = smoothstep(-0.25 - light.wrap, 0.25 + light.wrap, across);
  } else {
    value = Math.max(0, (nx * lx + ny * ly + nz * lz + light.wrap) / (1 + light.wrap));
  }
  if (light.spot) {
    const distance = Math.hypot((x - face.cx) / headPixels - light.spot.x, (y - face.cy) / headPixels - light.spot.y);
    value *= 1 - smoothstep(light.spot.radius, light.spot.radius + light.spot.edge, distance);
  }
  return value;
};

/** Sets every light's exposure so that the 95th percentile of the face's luminance under it alone is its level. */
export const setSitterGains = (scene: Scene): void => {
  const posed = poseSitter(scene, atRest);
  scene.sitterGain = scene.lights.map(light => {
    const values: number[] = [];
    forFace(scene, atRest, (x, y, i) => {
      if (posed.cover[i]! < 0.5) return;
      const n = posed.normal;
      const value = shade(scene, light, atRest, x, y, n[i * 3]!, n[i * 3 + 1]!, n[i * 3 + 2]!);
      values.push(luminanceAt(posed.albedo, i * 3) * value);
    });
    values.sort((a, b) => a - b);
    const bright = values[Math.floor(values.length * 0.95)] ?? 0;
    return bright > 1e-6 ? linearOf(light.faceEv) / bright : 0;
  });
};

/** A light's patches on a wall of reflectance 1, one value a pixel. */
export const patchLight = (width: number, height: number, patches: readonly Patch[]): Float32Array => {
  const result = new Float32Array(width * height);
  for (const patch of patches) {
    const peak = linearOf(patch.ev);
    for (let y = 0; y < height; y++) {
      for (let x = 0; x < width; x++) {
        const r = Math.hypot((x - patch.x * width) / (patch.rx * height), (y - patch.y * height) / (patch.ry * height));
        result[y * width + x]! += peak * (patch.edge > 1 ? Math.exp(-r * r) : 1 - smoothstep(1 - patch.edge, 1, r));
      }
    }
  }
  return result;
};

/** Adds one light's pop at a pose: wall behind the sitter (with the head's shadow) and the sitter. */
export const addPop = (
  into: LightMap,
  scene: Scene,
  posed: Posed,
  pose: Pose,
  lightIndex: number,
  gain: number,
): void => {
  const {width, height, wall} = scene;
  const light = scene.lights[lightIndex]!;
  const onWall = scene.wallLight[lightIndex]!;
  const exposure = scene.sitterGain[lightIndex]!;
  const shadowX = Math.round(-light.direction[0] * scene.headPixels * 0.5);
  const shadowY = Math.round(-light.direction[1] * scene.headPixels * 0.5);
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      const i = y * width + x;
      const cover = posed.cover[i]!;
      let behind = onWall[i]! * (1 - cover);
      if (light.shadow && behind > 0) {
        const sx = Math.min(width - 1, Math.max(0, x - shadowX));
        const sy = Math.min(height - 1, Math.max(0, y - shadowY));
        behind *= 1 - 0.85 * posed.soft[sy * width + sx]!;
      }
      let front = 0;
      if (cover > 0) {
        const n = posed.normal;
        front = cover * exposure * shade(scene, light, pose, x, y, n[i * 3]!, n[i * 3 + 1]!, n[i * 3 + 2]!);
      }
      if (behind === 0 && front === 0) continue;
      for (let c = 0; c < 3; c++) {
        const tinted = gain * light.tint[c]!;
        into.data[i * 3 + c]! += tinted * (behind * wall.data[i * 3 + c]! + front * posed.albedo[i * 3 + c]!);
      }
    }
  }
};
