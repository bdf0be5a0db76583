import type {Layer, QuickRoom, QuickShot} from './quick-room.js';

/** Whether the head lies on a pixel of a shot. */
export const isHead = (room: QuickRoom, shot: QuickShot, x: number, y: number): boolean => {
  const head = 2 * room.face.ry * room.height;
  const px = (x + 0.5 - (shot.sway.x + room.face.cx) * room.width) / head;
  const py = (y + 0.5 - (shot.sway.y + room.face.cy) * room.height) / head;
  return room.head(px, py) !== null;
};

/** The trail's own light. */
export const trailLayer = (room: QuickRoom, shot: QuickShot): Layer => {
  const {width, height} = room;
  const layer = new Float32Array(width * height * 3);
  for (const trail of shot.trails) {
    const own = new Float32Array(width * height);
    const sigma = trail.sigma * width;
    const peak = 0.18 * 2 ** trail.ev;
    const reach = Math.ceil(3.2 * sigma);
    let along = 0;
    for (let n = 1; n < trail.points.length; n++) {
      const [x0, y0] = trail.points[n - 1]!;
      const [x1, y1] = trail.points[n]!;
      const length = Math.hypot((x1 - x0) * width, (y1 - y0) * height);
      const steps = Math.max(1, Math.ceil(length / Math.max(0.3, sigma / 3)));
      for (let s = 0; s < steps; s++) {
        const t = s / steps;
        const at = along + length * t;
        if (trail.dash && (at / (trail.dash.period * width)) % 1 > trail.dash.lit) continue;
        const px = (x0 + (x1 - x0) * t) * width;
        const py = (y0 + (y1 - y0) * t) * height;
        for (let y = Math.max(0, Math.floor(py - reach)); y < Math.min(height, py + reach); y++) {
          for (let x = Math.max(0, Math.floor(px - reach)); x < Math.min(width, px + reach); x++) {
            const value = peak * Math.exp(-((x + 0.5 - px) ** 2 + (y + 0.5 - py) ** 2) / (2 * sigma * sigma));
            if (value > own[y * width + x]!) own[y * width + x] = value;
          }
        }
      }
      along += length;
    }
    for (let y = 0; y < height; y++) {
      for (let x = 0; x < width; x++) {
        const value = own[y * width + x]!;
        if (value === 0 || (trail.behind && isHead(room, shot, x, y))) continue;
        for (let c = 0; c < 3; c++) {
          const at = (y * width + x) * 3 + c;
          layer[at] = layer[at]! + value * trail.tint[c]!;
        }
      }
    }
  }
  return layer;
};

export type QuickTruth = {coverage: number; crossing: number; headGap: number | null};

/** The trail by the published definitions, from its own layer. */
export const trailTruth = (room: QuickRoom, shot: QuickShot, moved: boolean): QuickTruth => {
  const {width, height, face} = room;
  const own = trailLayer(room, shot);
  const seen = new Set<number>();
  let inside = 0;
  let ellipse = 0;
  let gap = Number.POSITIVE_INFINITY;
  const shiftX = moved ? shot.sway.x : 0;
  const shiftY = moved ? shot.sway.y : 0;
  for (let y = 0, at = 0; y < height; y++) {
    for (let x = 0; x < width; x++, at += 3) {
      const lum = 0.2126 * own[at]! + 0.7152 * own[at + 1]! + 0.0722 * own[at + 2]!;
      const dx = (x + 0.5) / width - face.cx - shiftX;
      const dy = (y + 0.5) / height - face.cy - shiftY;
      const isIn = (dx / face.rx) ** 2 + (dy / face.ry) ** 2 <= 1;
      if (isIn) ellipse++;
      if (lum <= 0.0225) continue;
      if (isIn) inside++;
      else seen.add(Math.floor((((Math.atan2(dy * height, dx * width) * 180) / Math.PI + 360) % 360) / 5));
      if (Math.abs(dx) <= face.rx && dy < -face.ry) gap = Math.min(gap, (-dy - face.ry) / (2 * face.ry));
    }
  }
  return {
    coverage: seen.size / 72,
    crossing: inside / ellipse,
    headGap: Number.isFinite(gap) ? gap : null,
  };
};
