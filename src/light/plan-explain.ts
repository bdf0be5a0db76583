import type {Exposure} from '../../shared/exposure.js';
import type {PaintingLight, Rig} from '../../shared/rig.js';
import {modifierLossStops} from './flash.js';
import {circleOfConfusion} from './focus.js';
import {wallHit} from './geometry.js';
import type {PlanOptions} from './plan.js';
import type {PlanReport} from './plan-schema.js';
import {printPower} from './power.js';
import {luxOfEv100} from './room.js';
import {wallAgainstFaceEv} from './spill.js';
import {printNumber} from './words.js';

/*
 * The reasons behind a plan's numbers: formula, inputs, source.
 */

const n = (value: number, digits = 2): string =>
  printNumber(Number(value.toFixed(digits)), digits)
    .replace(/(\.\d*?)0+$/, '$1')
    .replace(/\.$/, '');

export const explainExposure = ({shutterSeconds, fNumber, iso, ev100}: PlanReport['exposure']): string[] => [
  `EV100 = log2(N²/t) − log2(S/100) = log2(${n(fNumber)}²/${n(shutterSeconds, 6)}) − log2(${iso}/100) = ${n(ev100)}. APEX; ISO 2720:1974.`,
  `E = 2.5·2^EV100 = ${Number(luxOfEv100(ev100).toPrecision(3))} lx, the light that becomes middle grey. ISO 2720:1974, C = 250.`,
];

export const explainRoom = (exposure: PlanReport['exposure'], room: NonNullable<PlanReport['room']>): string[] => [
  `level = the room's EV100 − the exposure's EV100 = ${n(room.ev100)} − ${n(exposure.ev100)} = ${n(room.levelEv)} EV around middle grey.`,
  `The room's EV100 = log2(E/2.5): EV ${n(room.ev100)} is ${Number(luxOfEv100(room.ev100).toPrecision(2))} lx. ISO 2720:1974, C = 250.`,
];

export const explainFocus = (exposure: Exposure, focus: PlanOptions['focus']): string[] => {
  const general = 'near = s(H−f)/(H+s−2f), far = s(H−f)/(H−s), infinite when s ≥ H. Thin-lens optics.';
  if (!focus) return [`H = f²/(N·c) + f. ${general}`];
  const c = circleOfConfusion(focus.sensorWidthMillimetres, focus.sensorHeightMillimetres);
  return [
    `H = f²/(N·c) + f with f = ${n(focus.focalMillimetres)} mm, N = ${n(exposure.fNumber)}, c = ${n(c, 4)} mm (0.030 mm on 36 × 24 mm, by the diagonal).`,
    `${general} s = ${n(focus.distanceMetres)} m.`,
  ];
};

export const explainFlash = (exposure: Exposure, flash: PlanReport['flashes'][number], rig: Rig | null): string[] => {
  const light = rig?.lights.find(each => each.id === flash.id);
  if (!rig || !light) return [];
  const hit = wallHit(rig, light);
  const {id, guideNumberMetres, distanceMetres, pops, snoot, gel} = light;
  return [
    `${id}: level = 2·log2(GN·√(S/100)·√p / (d·N)) + log2(pops) − losses, GN ${n(guideNumberMetres)} m, p ${printPower(flash.power)}, d ${n(distanceMetres)} m, N ${n(exposure.fNumber)}, ${pops} ${pops === 1 ? 'pop' : 'pops'}, losses ${n(modifierLossStops(light))} stops = ${n(flash.levelEv)} EV. ISO 1230; inverse square law.`,
    ...(gel && flash.kelvin !== null
      ? [
          `${id}: 10⁶/(10⁶/${n(light.kelvin)} ${gel.miredShift < 0 ? '−' : '+'} ${n(Math.abs(gel.miredShift))} mired) = ${Math.round(flash.kelvin)} K.`,
        ]
      : []),
    ...(snoot
      ? [
          `${id}: full spot = a + (a−s)·D/L, outer = a + (a+s)·D/L, soft edge = s·D/L; a ${n(snoot.exitMillimetres)} mm, s ${n(snoot.sourceMillimetres)} mm, L ${n(snoot.tubeMillimetres)} mm, D ${n(distanceMetres * 1000 - snoot.tubeMillimetres, 0)} mm. Similar triangles, black tube.`,
        ]
      : []),
    ...(hit
      ? [
          `${id}: wall against face = 2·log2(d/D) + log2(cos) with D ${n(hit.distanceMetres)} m to the wall, cos ${n(hit.incidence)} = ${n(wallAgainstFaceEv(light, hit))} EV; a move at constant face 2·log2[(d2/(d2+w))/(d1/(d1+w))], w ${n(hit.distanceMetres - distanceMetres)} m. Inverse square law.`,
        ]
      : []),
  ];
};

export const explainPainting = (exposure: Exposure, painting: PaintingLight, levelEv: number): string[] => [
  `level = its level at f/${n(painting.atFNumber)} ISO ${painting.atIso} (${n(painting.trailEv)} EV) + 2·log2(${n(painting.atFNumber)}/${n(exposure.fNumber)}) + log2(${exposure.iso}/${painting.atIso}) = ${n(levelEv)} EV; − log2 of the hand's speed over its usual one.`,
];

export const explainChange = (
  from: Exposure,
  to: Exposure | null,
  change: NonNullable<PlanReport['change']>,
): string[] => [
  `room = EV100 before − EV100 after${to ? ` (t ${n(from.shutterSeconds, 6)} → ${n(to.shutterSeconds, 6)} s, N ${n(from.fNumber)} → ${n(to.fNumber)}, S ${from.iso} → ${to.iso})` : ''} = ${n(change.ev, 3)} EV. APEX.`,
  `flash and trail leave the time out: 2·log2(N1/N2) + log2(S2/S1) = ${n(change.trailEv, 3)} EV; distance × 2^(${n(change.trailEv, 3)}/2) = ${n(change.distanceFactor, 3)}. Inverse square law.`,
];
