import type {Random} from './random.js';
import type {PixelEllipse} from './scene.js';

type Line = [x: number, y: number][];

/** What is drawn, in the words of whoever paints it. */
export type ShapeName =
  | 'loop'
  | 'ten loops'
  | 'arch'
  | 'halo high'
  | 'loop high'
  | 'aside'
  | 'loop across'
  | 'chord across'
  | 'zigzag across'
  | 'near miss'
  | 'behind'
  | 'figure of eight'
  | 'spiral'
  | 'star'
  | 'heart'
  | 'wings'
  | 'two rings'
  | 'far scribble'
  | 'bars'
  | 'cheek graze'
  | 'out of frame'
  | 'hook across';

/** Shapes whose way leads over the face on purpose. */
export const crossingShapes: readonly ShapeName[] = [
  'loop across',
  'chord across',
  'zigzag across',
  'cheek graze',
  'hook across',
];

const ring = (
  random: Random,
  turns: number,
  centre: (turn: number) => [number, number],
  radius: (turn: number) => [number, number],
): Line => {
  const lumps = [1, 2, 3, 4].map(k => ({k, size: random.between(0, 0.05), phase: random.between(0, 6.28)}));
  const start = random.between(0, 6.28);
  const line: Line = [];
  for (let t = 0; t <= turns; t += 1 / 180) {
    const angle = start + t * 2 * Math.PI;
    const lump = 1 + lumps.reduce((sum, {k, size, phase}) => sum + (size / k) * Math.cos(k * angle + phase), 0);
    const [cx, cy] = centre(t);
    const [rx, ry] = radius(t);
    line.push([cx + rx * lump * Math.cos(angle), cy + ry * lump * Math.sin(angle)]);
  }
  return line;
};

const arc = (cx: number, cy: number, rx: number, ry: number, from: number, to: number): Line =>
  Array.from({length: 181}, (_, i) => {
    const angle = from + ((to - from) * i) / 180;
    return [cx + rx * Math.cos(angle), cy + ry * Math.sin(angle)];
  });

/** Rounds the corners of a line a little, as a hand would. */
const handDrawn = (points: Line, random: Random, wobble: number): Line => {
  const line: Line = [];
  for (let i = 1; i < points.length; i++) {
    const [x0, y0] = points[i - 1]!;
    const [x1, y1] = points[i]!;
    for (let k = 0; k < 30; k++) line.push([x0 + ((x1 - x0) * k) / 30, y0 + ((y1 - y0) * k) / 30]);
  }
  line.push(points[points.length - 1]!);
  const phase = random.between(0, 6.28);
  return line.map(([x, y], i) => [
    x + wobble * Math.sin(phase + i * 0.21),
    y + wobble * Math.cos(phase * 2 + i * 0.17),
  ]);
};

/**
 * The way of the painting light, in lengths of the head (1 is the face ellipse's height) from the ellipse's centre,
 * x right, y down. Whether it crosses is for the truth to say.
 * @param face the ellipse in heads (its ry is 0.5)
 * @param clearance how far a near miss stays outside the ellipse, in heads
 */
export const shapeLines = (shape: ShapeName, face: PixelEllipse, random: Random, clearance: number): Line[] => {
  const {rx} = face;
  const size = random.between(0.78, 1.25);
  const still = (): [number, number] => [0, 0];
  switch (shape) {
    case 'loop':
      return [
        ring(
          random,
          random.between(1, 1.1),
          () => [0, 0.05],
          () => [size * 0.9, size],
        ),
      ];
    case 'ten loops': {
      const wander = Array.from({length: 12}, () => [
        random.between(-0.1, 0.1),
        random.between(-0.1, 0.1),
        random.between(0.85, 1.3),
      ]);
      const of = (t: number, k: number): number => {
        const i = Math.floor(t);
        return wander[i]![k]! + (wander[i + 1]![k]! - wander[i]![k]!) * (t - i);
      };
      return [
        ring(
          random,
          10,
          t => [of(t, 0), of(t, 1)],
          t => [of(t, 2) * 0.95, of(t, 2)],
        ),
      ];
    }
    case 'arch': {
      const half = random.between(0.35, 0.62) * Math.PI;
      const lean = random.between(-0.25, 0.25);
      return [arc(0, 0.05, size * 0.9, size, -Math.PI / 2 - half + lean, -Math.PI / 2 + half + lean)];
    }
    case 'halo high': {
      const gap = random.between(0.25, 0.8);
      const flat = random.between(0.1, 0.2);
      return [
        ring(
          random,
          1.05,
          () => [0, -0.5 - gap - flat],
          () => [0.5, flat],
        ),
      ];
    }
    case 'loop high':
      return [
        ring(
          random,
          1.05,
          () => [0, -0.5 * size],
          () => [size * 0.95, size],
        ),
      ];
    case 'aside': {
      const side = random.chance(0.5) ? 1 : -1;
      if (random.chance(0.5)) {
        const radius = random.between(0.5, 0.9);
        const centre: [number, number] = [
          side * (rx + radius * 1.15 + random.between(0.05, 0.3)),
          random.between(-0.3, 0.2),
        ];
        return [
          ring(
            random,
            1.05,
            () => centre,
            () => [radius, radius],
          ),
        ];
      }
      const shift = random.between(0.55, 0.85);
      return [
        ring(
          random,
          1.05,
          () => [side * shift * 1.1, 0],
          () => [rx + shift * 1.3, 0.9 + shift * 0.3],
        ),
      ];
    }
    case 'loop across': {
      const angle = random.between(0, 6.28);
      const radius = random.between(0.55, 0.9);
      const away = radius - random.between(-0.1, 0.35);
      return [
        ring(
          random,
          1.05,
          () => [Math.cos(angle) * away, Math.sin(angle) * away],
          () => [radius, radius],
        ),
      ];
    }
    case 'chord across': {
      const angle = random.between(0, Math.PI);
      const off = random.between(-0.3, 0.3);
      const from: [number, number] = [
        -Math.cos(angle) * 1.1 - Math.sin(angle) * off,
        -Math.sin(angle) * 1.1 + Math.cos(angle) * off,
      ];
      const to: [number, number] = [
        Math.cos(angle) * 1.1 - Math.sin(angle) * off,
        Math.sin(angle) * 1.1 + Math.cos(angle) * off,
      ];
      return [
        handDrawn([from, [(from[0] + to[0]) / 2 + random.between(-0.1, 0.1), (from[1] + to[1]) / 2], to], random, 0.01),
      ];
    }
    case 'zigzag across': {
      const points: Line = [];
      const y0 = random.between(-0.6, -0.2);
      const strokes = random.integer(2, 4);
      for (let i = 0; i < strokes; i++)
        points.push([i % 2 === 0 ? -random.between(0.5, 1) : random.between(0.5, 1), y0 + i * 0.25]);
      return [handDrawn(points, random, 0.015)];
    }
    case 'near miss': {
      const towards = random.between(0, 6.28);
      const opening = random.between(0.25, 0.5);
      const line: Line = [];
      for (let i = 0; i <= 360; i++) {
        const angle = towards + (i * Math.PI) / 180;
        const toEdge = 1 / Math.hypot(Math.cos(angle) / rx, Math.sin(angle) / 0.5);
        const radius = toEdge + clearance + opening * (1 - Math.cos(angle - towards));
        line.push([radius * Math.cos(angle), radius * Math.sin(angle)]);
      }
      return [line];
    }
    case 'behind': {
      const radius = random.between(0.55, 0.85);
      const side = random.between(-1, 1);
      return [
        ring(
          random,
          1.05,
          () => [side * 0.5, -0.2],
          () => [radius, radius * 0.8],
        ),
      ];
    }
    case 'figure of eight': {
      const up = random.between(0.95, 1.15);
      return [
        Array.from({length: 361}, (_, i) => {
          const t = (i * Math.PI) / 180;
          return [1.15 * Math.sin(t), -up + 0.28 * Math.sin(2 * t)];
        }),
      ];
    }
    case 'spiral': {
      const turns = random.between(2, 4);
      return [ring(random, turns, still, t => [0.75 + (t / turns) * 0.6, 0.8 + (t / turns) * 0.6])];
    }
    case 'star': {
      const tips = random.integer(5, 8);
      const points: Line = Array.from({length: tips * 2 + 1}, (_, i) => {
        const radius = i % 2 === 0 ? size * 1.25 : 0.85;
        const angle = (i * Math.PI) / tips - Math.PI / 2;
        return [radius * Math.cos(angle), radius * Math.sin(angle)];
      });
      return [handDrawn(points, random, 0.006)];
    }
    case 'heart':
      return [
        Array.from({length: 361}, (_, i) => {
          const t = (i * Math.PI) / 180;
          const x = 16 * Math.sin(t) ** 3;
          const y = 13 * Math.cos(t) - 5 * Math.cos(2 * t) - 2 * Math.cos(3 * t) - Math.cos(4 * t);
          return [(x / 16) * size * 1.15, (-y / 14) * size * 1.1 - 0.12];
        }),
      ];
    case 'wings':
      return [-1, 1].flatMap(side =>
        [0.75, 0.95, 1.15].map(r => arc(side * 0.15, 0.1, side * r, r * 0.9, -1.2 + random.between(-0.1, 0.1), 0.5)),
      );
    case 'two rings':
      return [ring(random, 1.03, still, () => [0.78, 0.82]), ring(random, 1.03, still, () => [1.15, 1.2])];
    case 'far scribble': {
      const side = random.chance(0.5) ? 1 : -1;
      const points: Line = Array.from({length: 9}, () => [side * random.between(0.9, 1.9), random.between(-1, 0.8)]);
      return [handDrawn(points, random, 0.02)];
    }
    case 'bars':
      return [-1, 1].flatMap(side =>
        [0.75, 0.95].map(
          (x): Line => [
            [side * x, -1.1],
            [side * (x + random.between(-0.05, 0.05)), 0.9],
          ],
        ),
      );
    case 'cheek graze': {
      const side = random.chance(0.5) ? 1 : -1;
      const depth = random.between(0.05, 0.16);
      const middle = side > 0 ? Math.PI : 0;
      return [arc(side * (rx + 0.62 - depth), random.between(-0.15, 0.2), 0.62, 0.7, middle - 1.7, middle + 1.7)];
    }
    case 'out of frame':
      return [
        ring(
          random,
          1.02,
          () => [0, -0.6],
          () => [2.4, 1.7],
        ),
        arc(0, 0, 0.9, 0.95, -2.6, -0.5),
      ];
    case 'hook across': {
      const side = random.chance(0.5) ? 1 : -1;
      return [
        [
          ...arc(0, 0, side * 0.95, 1, -2.8, 0.3),
          ...handDrawn(
            [
              [side * 0.9, 0.35],
              [side * 0.25, random.between(0, 0.3)],
              [side * -0.05, random.between(-0.1, 0.2)],
            ],
            random,
            0.005,
          ),
        ],
      ];
    }
  }
};
