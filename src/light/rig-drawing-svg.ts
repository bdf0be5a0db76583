import {plainText} from '../../shared/plain-text.js';
import type {FlashLight, Rig} from '../../shared/rig.js';
import type {Point} from './geometry.js';
import {lightFacts} from './rig-words.js';
import {type DrawnLight, type SetPlan, setPlan} from './set-plan.js';
import {HEAD_BREADTH_METRES} from './sway.js';
import {printDistance, printNumber, shortText} from './words.js';

/** Scale of the drawing, user units a metre: at 96 units an inch it prints about 1:38. */
const UNITS_PER_METRE = 100;
const MARGIN = 60;
const LINE = 18;
/** Room for the words under the drawing, units. */
const WORDS_WIDTH = 640;

/** Text made fit for XML: plain, without what XML 1.0 forbids, with its five marks escaped. */
const xml = (text: string): string =>
  plainText(text)
    .replace(/[\ufffe\uffff]/g, ' ')
    .replace(/&/g, '&amp;')
    .replace(/</g, '&lt;')
    .replace(/>/g, '&gt;')
    .replace(/"/g, '&quot;')
    .replace(/'/g, '&apos;');

const n = (value: number): string => String(Math.round(value * 100) / 100);

type Pen = {x(at: Point): string; y(at: Point): string; units(metres: number): string};

const penOf = (plan: SetPlan): Pen => ({
  x: at => n(MARGIN + (at.x - plan.left) * UNITS_PER_METRE),
  y: at => n(MARGIN + (plan.back - at.y) * UNITS_PER_METRE),
  units: metres => n(metres * UNITS_PER_METRE),
});

const line = (pen: Pen, from: Point, to: Point, look: string): string =>
  `<line x1="${pen.x(from)}" y1="${pen.y(from)}" x2="${pen.x(to)}" y2="${pen.y(to)}" ${look}/>`;

/** A white rim keeps a label legible where lines and beams cross it. */
const label = (pen: Pen, at: Point, text: string, look = ''): string =>
  `<text x="${pen.x(at)}" y="${pen.y(at)}" stroke="#fff" stroke-width="4" stroke-linejoin="round" paint-order="stroke"${look === '' ? '' : ` ${look}`}>${xml(text)}</text>`;

const walls = (rig: Rig, plan: SetPlan, pen: Pen): string[] => {
  const {backWallMetres, leftWallMetres, rightWallMetres} = rig.mark;
  const left = leftWallMetres === null ? plan.left : -leftWallMetres;
  const right = rightWallMetres ?? plan.right;
  const look = 'stroke="#000" stroke-width="3"';
  const away = {x: 0, y: backWallMetres};
  return [
    line(pen, {x: left, y: backWallMetres}, {x: right, y: backWallMetres}, look),
    label(
      pen,
      {x: 0, y: backWallMetres + 0.1},
      `back wall, ${printDistance(backWallMetres)} from the mark`,
      'text-anchor="middle"',
    ),
    line(pen, {x: 0, y: 0.15}, away, 'stroke="#999" stroke-dasharray="2 4"'),
    ...(leftWallMetres === null
      ? []
      : [
          line(pen, {x: left, y: backWallMetres}, {x: left, y: plan.front}, look),
          label(pen, {x: left + 0.08, y: plan.front + 0.3}, `left wall, ${printDistance(leftWallMetres)}`),
        ]),
    ...(rightWallMetres === null
      ? []
      : [
          line(pen, {x: right, y: backWallMetres}, {x: right, y: plan.front}, look),
          label(
            pen,
            {x: right - 0.08, y: plan.front + 0.3},
            `right wall, ${printDistance(rightWallMetres)}`,
            'text-anchor="end"',
          ),
        ]),
  ];
};

const cameraAndMark = (rig: Rig, plan: SetPlan, pen: Pen): string[] => {
  const {camera} = plan;
  const depth = rig.mark.backWallMetres - camera.y;
  const half = (depth * rig.lens.sensorWidthMillimetres) / 2 / rig.lens.focalMillimetres;
  const edges = [-half, half].map(x =>
    line(pen, camera, {x, y: rig.mark.backWallMetres}, 'stroke="#bbb" clip-path="url(#room)"'),
  );
  const corner = (x: number, y: number): string => `${pen.x({x, y: camera.y + y})},${pen.y({x, y: camera.y + y})}`;
  return [
    ...edges,
    `<polygon points="${corner(-0.1, -0.08)} ${corner(0.1, -0.08)} ${corner(0, 0.1)}" fill="#000"/>`,
    label(
      pen,
      {x: 0, y: camera.y - 0.24},
      `camera, ${printDistance(rig.mark.cameraDistanceMetres)} from the mark`,
      'text-anchor="middle"',
    ),
    `<circle cx="${pen.x({x: 0, y: 0})}" cy="${pen.y({x: 0, y: 0})}" r="${pen.units(HEAD_BREADTH_METRES / 2)}" fill="none" stroke="#000" stroke-width="2"/>`,
    label(pen, {x: -0.13, y: 0.04}, 'mark', 'text-anchor="end"'),
  ];
};

const turned = (aim: Point, degrees: number): Point => {
  const angle = (degrees * Math.PI) / 180;
  return {x: aim.x * Math.cos(angle) - aim.y * Math.sin(angle), y: aim.x * Math.sin(angle) + aim.y * Math.cos(angle)};
};

const cone = (drawn: DrawnLight, plan: SetPlan, pen: Pen): string => {
  const {at, aim, end, halfAngleDegrees} = drawn;
  if (halfAngleDegrees === null) return line(pen, at, end, 'stroke="#555" stroke-dasharray="6 4"');
  // Longer than any way through the room, whose outline then cuts it.
  const across = Math.hypot(plan.right - plan.left, plan.back - plan.front);
  const reach = across / Math.max(0.2, Math.cos((halfAngleDegrees * Math.PI) / 180));
  const corners = [-halfAngleDegrees, halfAngleDegrees].map(degrees => {
    const way = turned(aim, degrees);
    return {x: at.x + way.x * reach, y: at.y + way.y * reach};
  });
  const points = [at, ...corners].map(point => `${pen.x(point)},${pen.y(point)}`).join(' ');
  return `<polygon points="${points}" fill="#f3c46b" fill-opacity="0.3" stroke="none" clip-path="url(#room)"/>${line(pen, at, end, 'stroke="#555" stroke-dasharray="6 4"')}`;
};

const spotOnFace = ({spot, aim}: DrawnLight, pen: Pen): string[] => {
  if (!spot || spot.fullMetres === null) return [];
  const half = spot.fullMetres / 2;
  const across = {x: aim.y * half, y: -aim.x * half};
  return [line(pen, {x: -across.x, y: -across.y}, across, 'stroke="#b8700c" stroke-width="3"')];
};

/** The angle between the way to the camera and the way to the light, drawn at a third of the light's distance. */
const angleArc = ({at, light}: DrawnLight, pen: Pen): string[] => {
  const angle = light.angleDegrees;
  if (Math.abs(angle) < 3) return [];
  const far = Math.hypot(at.x, at.y);
  const radius = Math.max(0.25, far / 3);
  const end = {x: (at.x / far) * radius, y: (at.y / far) * radius};
  const middle = (angle / 2) * (Math.PI / 180);
  // Seen on paper, growing to the picture's right from straight down is anticlockwise: sweep 0.
  return [
    `<path d="M ${pen.x({x: 0, y: -radius})} ${pen.y({x: 0, y: -radius})} A ${pen.units(radius)} ${pen.units(radius)} 0 0 ${angle > 0 ? 0 : 1} ${pen.x(end)} ${pen.y(end)}" fill="none" stroke="#888"/>`,
    label(
      pen,
      {x: Math.sin(middle) * (radius + 0.12), y: -Math.cos(middle) * (radius + 0.12)},
      `${Math.round(Math.abs(angle))}°`,
      'text-anchor="middle" fill="#555"',
    ),
  ];
};

/** The distance beside the way to the light, on the side where its angle is not drawn. */
const distanceLabel = ({at, light}: DrawnLight, pen: Pen): string => {
  const far = Math.hypot(at.x, at.y) || 1;
  const turn = light.angleDegrees < 0 ? -1 : 1;
  const aside = {x: (-at.y / far) * turn, y: (at.x / far) * turn};
  const anchor = Math.abs(aside.x) < 0.3 ? 'middle' : aside.x < 0 ? 'end' : 'start';
  const place = {x: at.x * 0.6 + aside.x * 0.08, y: at.y * 0.6 + aside.y * 0.08 - 0.04};
  return label(pen, place, printDistance(light.distanceMetres), `text-anchor="${anchor}"`);
};

const lightMarks = (drawn: DrawnLight, pen: Pen): string[] => {
  const {at, light} = drawn;
  return [
    ...(light.on ? spotOnFace(drawn, pen) : []),
    ...angleArc(drawn, pen),
    `<circle cx="${pen.x(at)}" cy="${pen.y(at)}" r="13" fill="#fff" stroke="#000" stroke-width="2"${light.on ? '' : ' stroke-dasharray="3 3"'}/>`,
    `<text x="${pen.x(at)}" y="${n(Number(pen.y(at)) + 5)}" text-anchor="middle" font-weight="bold">${xml(light.id)}</text>`,
    distanceLabel(drawn, pen),
  ];
};

const notesIn = (text: string, longest: number): string[] => {
  const lines: string[] = [];
  for (const paragraph of text.split(/\r?\n/)) {
    let current = '';
    for (const word of plainText(paragraph).split(' ')) {
      if (current !== '' && current.length + word.length >= longest) {
        lines.push(current);
        current = '';
      }
      current = current === '' ? shortText(word, longest) : `${current} ${shortText(word, longest)}`;
    }
    lines.push(current);
  }
  return lines.filter(each => each !== '').slice(0, 40);
};

/** Keeps a number and its unit on one line. */
const unbroken = (text: string): string => text.replace(/(\d) (?=(?:mm|cm|m|K)\b)/g, '$1\u00a0');

/** How a light is built, for whoever has the drawing alone. */
const buildFacts = ({snoot, zoomMillimetres, guideNumberMetres}: FlashLight): string[] => [
  ...(snoot ? [`${plainText(snoot.name)} ${snoot.tubeMillimetres} mm long, exit ${snoot.exitMillimetres} mm`] : []),
  ...(zoomMillimetres === null ? [] : [`zoom ${printNumber(zoomMillimetres, 0)} mm`]),
  `guide number ${printNumber(guideNumberMetres, 0)} m`,
];

const words = (rig: Rig, plan: SetPlan): string[] => [
  ...plan.lights.flatMap(drawn => [
    `${drawn.light.id}  ${plainText(drawn.light.name)}`,
    ...notesIn(unbroken([...lightFacts(drawn), ...buildFacts(drawn.light)].join(', ')), 80).map(each => `     ${each}`),
  ]),
  `Camera: ${rig.lens.focalMillimetres} mm lens, ${printDistance(rig.lens.heightMetres)} high, ${printDistance(rig.mark.cameraDistanceMetres)} from the mark.`,
  `Painting light: ${plainText(rig.painting.name)}. Eyes ${printDistance(rig.mark.eyeHeightMetres)} high.`,
  ...notesIn(rig.notes, 80),
];

/**
 * The set from above as an SVG page, to scale (one metre is 100 units): walls, camera with its field of view, the mark
 * with the spots on it, lights with angle and distance, and their facts in words below. Well-formed whatever the rig's texts hold.
 * @param options.words false leaves the name above and the facts below out, for a page that says them itself
 */
export const drawRigSvg = (rig: Rig, options: {words?: boolean} = {}): string => {
  const plan = setPlan(rig);
  const pen = penOf(plan);
  const drawingWidth = (plan.right - plan.left) * UNITS_PER_METRE + 2 * MARGIN;
  const drawingHeight = (plan.back - plan.front) * UNITS_PER_METRE + 2 * MARGIN;
  const withWords = options.words ?? true;
  const below = withWords ? words(rig, plan) : [];
  const width = withWords ? Math.max(drawingWidth, WORDS_WIDTH) : drawingWidth;
  const height = drawingHeight + (withWords ? (below.length + 2) * LINE : 0);
  const {mark} = rig;
  const room = {
    left: mark.leftWallMetres === null ? plan.left : -mark.leftWallMetres,
    right: mark.rightWallMetres ?? plan.right,
  };
  return [
    '<?xml version="1.0" encoding="UTF-8"?>',
    `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${n(width)} ${n(height)}" width="${n(width)}" height="${n(height)}" font-family="sans-serif" font-size="13">`,
    `<title>${xml(rig.name)}: the set from above</title>`,
    `<clipPath id="room"><rect x="${pen.x({x: room.left, y: 0})}" y="${pen.y({x: 0, y: mark.backWallMetres})}" width="${pen.units(room.right - room.left)}" height="${pen.units(mark.backWallMetres - plan.front)}"/></clipPath>`,
    `<rect width="${n(width)}" height="${n(height)}" fill="#fff"/>`,
    ...(withWords
      ? [`<text x="${MARGIN}" y="30" font-size="17" font-weight="bold">${xml(shortText(rig.name, 60))}</text>`]
      : []),
    ...plan.lights.filter(({light}) => light.on).map(drawn => cone(drawn, plan, pen)),
    ...walls(rig, plan, pen),
    ...cameraAndMark(rig, plan, pen),
    ...plan.lights.flatMap(drawn => lightMarks(drawn, pen)),
    line(
      pen,
      {x: plan.left, y: plan.front - 0.2},
      {x: plan.left + 1, y: plan.front - 0.2},
      'stroke="#000" stroke-width="2"',
    ),
    label(pen, {x: plan.left + 1.08, y: plan.front - 0.24}, '1 m'),
    ...below.map(
      (text, index) =>
        `<text x="${MARGIN}" y="${n(drawingHeight + (index + 1) * LINE)}" xml:space="preserve">${xml(text)}</text>`,
    ),
    '</svg>',
    '',
  ].join('\n');
};
