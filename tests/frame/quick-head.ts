import type {Albedo} from './quick-room.js';

/** 0 up to `low`, 1 from `high` on, smooth between. */
export const step = (low: number, high: number, value: number): number => {
  const t = Math.min(1, Math.max(0, (value - low) / (high - low)));
  return t * t * (3 - 2 * t);
};

/** A head of our own: skin, hair, brows, eyes, nose, mouth, all a little uneven. */
export const drawnHead: Albedo = (x, y) => {
  const r = Math.hypot(x / 0.38, y / 0.5);
  if (r > 1) return null;
  const hair = step(0.02, -0.02, y + 0.2 + 0.15 * Math.cos(x * 8)) + step(0.85, 0.95, r) * (y < 0.1 ? 1 : 0);
  const dot = (cx: number, cy: number, rx: number, ry: number): number =>
    1 - step(0.8, 1.1, Math.hypot((x - cx) / rx, (y - cy) / ry));
  const dark =
    0.75 * (dot(-0.15, -0.03, 0.06, 0.025) + dot(0.15, -0.03, 0.06, 0.025)) +
    0.5 * (dot(-0.15, -0.1, 0.08, 0.015) + dot(0.15, -0.1, 0.08, 0.015)) +
    0.25 * (dot(0, 0.09, 0.05, 0.03) + dot(0, 0.24, 0.1, 0.025));
  const grain = 0.92 + 0.08 * Math.sin(x * 63 + Math.sin(y * 41) * 2) * Math.sin(y * 57 + x * 9);
  const skin = grain * (1 - Math.min(0.9, dark));
  const strand = 0.5 + 0.5 * Math.sin(x * 160 + y * 30) * Math.sin(y * 21);
  const mix = Math.min(1, hair);
  return [
    skin * 0.62 * (1 - mix) + mix * (0.06 + 0.08 * strand),
    skin * 0.46 * (1 - mix) + mix * (0.045 + 0.06 * strand),
    skin * 0.38 * (1 - mix) + mix * (0.035 + 0.05 * strand),
  ];
};
