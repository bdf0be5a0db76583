import type {Cue, CueSheet} from '../../shared/cues.js';
import type {Limits} from '../../shared/journal.js';
import {plainText} from '../../shared/plain-text.js';
import type {FlashLight, Rig} from '../../shared/rig.js';
import type {Lesson} from '../judge/compare.js';
import {printPower} from '../light/power.js';
import {drawRigSvg} from '../light/rig-drawing-svg.js';
import {printAngle, printSpot} from '../light/rig-words.js';
import {type DrawnLight, setPlan} from '../light/set-plan.js';
import {printDistance, printKelvin, printLevel, printNumber, printSettings, printStops} from '../light/words.js';
import {lightChanges} from '../shoot/changes.js';
import type {Plate, Shoot} from '../shoot/state.js';
import {verdictLine} from './attempt-words.js';
import {lightsOn} from './compare-plates.js';
import {rigFromShoot} from './from-shoot.js';
import {whatWasLearned} from './look-back.js';
import {type Markup, markup, trusted} from './markup.js';
import {printPage} from './page.js';
import {embedded, type SmallPicture} from './small-picture.js';

/** The set from above as a drawing of its own. */
export const setUpDrawing = (shoot: Shoot): string => drawRigSvg(rigFromShoot(shoot).rig);

/**
 * One page from which somebody can build the set again: drawing, lights, mark, camera, cues, plates, what was learned.
 * @param plates small pictures by plate name
 * @param picture what came of this set-up; null where there is none
 */
export const setUpPage = (
  shoot: Shoot,
  plates: ReadonlyMap<string, SmallPicture | null>,
  picture: SmallPicture | null,
): string => {
  const {rig, exposure, cues, limits, attempt, from} = rigFromShoot(shoot);
  const source = shoot.attempts.find(({number}) => number === attempt);
  const learned = whatWasLearned(shoot, 3);
  const cueTable = markup`<h2>Cues, from the opening of the shutter</h2>
<table>${row('countdown', `begins ${seconds(cues.countdownSeconds)} before`)}${cueRows(cues)}</table>
`;
  // Many lights need the column that the cues share with few.
  const isFull = rig.lights.length > 2;
  return printPage(
    `${shoot.name}: set-up`,
    style,
    markup`<h1>${shoot.name}</h1>
<p class="quiet">Set-up sheet, as in ${from}, ${(source?.at ?? shoot.begunAt).slice(0, 10)}. Left and right are as one stands at the camera.</p>
<div class="${isFull ? 'sheet full' : 'sheet'}">
<section class="drawing">${inline(drawRigSvg(rig, {words: false}))}
${picture && embedded(picture, `what came of it: ${from}`)}
${isFull && cueTable}</section>
<section class="facts">
${setPlan(rig).lights.map(lightTable)}
<h2>Camera and mark</h2>
<table>
${shoot.camera ? row('camera', plainText(`${shoot.camera.maker} ${shoot.camera.model}`)) : null}
${row('settings', printSettings(exposure))}
${row('lens', `${printNumber(rig.lens.focalMillimetres, 0)} mm, ${printDistance(rig.lens.heightMetres)} high`)}
${row('sensor', `${printNumber(rig.lens.sensorWidthMillimetres, 1)} × ${printNumber(rig.lens.sensorHeightMillimetres, 1)} mm`)}
${row('mark', markWords(rig))}
${row('room', shoot.roomEv100 === null ? 'not measured' : `EV ${printNumber(shoot.roomEv100, 1)} at ISO 100`)}
${row('painting light', paintingWords(rig))}
${shoot.focusLocked && row('focus', shoot.focusLocked)}
${Object.keys(limits).length > 0 && row('limits', limitWords(limits))}
</table>
${!isFull && cueTable}
</section>
<section class="plates">${shoot.plates.map(plate => plateFigure(plate, rig, plates.get(plate.plate) ?? null))}</section>
<section class="learned">
<h2>What was learned</h2>
${source ? [markup`<p>Attempt ${source.number}: ${verdictLine(source)}.</p>`, ...source.notes.map(note => markup`<p class="notes">${note}</p>`)] : null}
${lessonList('What helped:', learned.helped)}
${lessonList('What harmed:', learned.harmed)}
${rig.notes !== '' && markup`<p class="notes">${rig.notes}</p>`}
</section>
</div>`,
  );
};

/** A drawing inside a page goes without its XML declaration. */
const inline = (svg: string): Markup => trusted(svg.replace(/^<\?xml[^>]*\?>\s*/, ''));

const row = (what: string, value: string): Markup => markup`<tr><th>${what}</th><td>${value}</td></tr>
`;

const seconds = (value: number): string => `${Math.round(value * 100) / 100} s`;

const lightTable = (drawn: DrawnLight): Markup => {
  const {light} = drawn;
  return markup`<h2>${light.id} ${light.name}${light.on ? null : ' (off)'}</h2>
<table>
${row('power', `${printPower(light.power)}${light.pops > 1 ? `, ${light.pops} pops` : ''}, guide number ${printNumber(light.guideNumberMetres, 0)} m at ISO 100`)}
${row('zoom', light.zoomMillimetres === null ? 'not noted' : `${printNumber(light.zoomMillimetres, 0)} mm`)}
${row('snoot', snootWords(light))}
${row('gel', gelWords(light))}
${row('stands', `${printDistance(light.distanceMetres)} from the face, ${printAngle(light.angleDegrees)}, ${printDistance(light.heightMetres)} high`)}
${row('on the floor', floorWords(drawn))}
${row('aim', aimWords(light))}
${light.snoot && row('on the face', printSpot(drawn))}
</table>
`;
};

const snootWords = ({snoot}: FlashLight): string =>
  snoot
    ? `${snoot.name}: ${snoot.tubeMillimetres} mm long, exit ${snoot.exitMillimetres} mm, source ${snoot.sourceMillimetres} mm, costs ${printStops(snoot.lossStops)}`
    : 'none';

const gelWords = ({gel, kelvin}: FlashLight): string =>
  gel
    ? `${gel.name}: ${printNumber(gel.miredShift, 0)} mired on ${printKelvin(kelvin)}, costs ${printStops(gel.lossStops)}`
    : `none, ${printKelvin(kelvin)}`;

/** Where the stand goes, with a tape from the mark: along the line to the camera, then square to it. */
const floorWords = ({at}: DrawnLight): string => {
  const [along, aside] = [at.y, at.x].map(metres => Math.round(metres * 100) / 100) as [number, number];
  const steps = [
    ...(along === 0 ? [] : [`${printDistance(Math.abs(along))} ${along < 0 ? 'towards' : 'away from'} the camera`]),
    ...(aside === 0 ? [] : [`${printDistance(Math.abs(aside))} to the ${aside < 0 ? 'left' : 'right'}`]),
  ];
  return steps.length > 0 ? `from the mark ${steps.join(', then ')}` : 'over the mark';
};

const limitWords = (limits: Limits): string =>
  Object.entries(limits)
    .map(([id, value]) => `${plainText(id)} ${String(Number(value.toPrecision(4))).replace('-', '−')}`)
    .join(', ');

const aimWords = ({aimOffDegrees}: FlashLight): string => {
  const amount = Math.round(Math.abs(aimOffDegrees));
  return amount === 0 ? 'at the face' : `${amount}° to the ${aimOffDegrees > 0 ? 'right' : 'left'} of the face`;
};

const markWords = ({mark}: Rig): string =>
  [
    `${printDistance(mark.cameraDistanceMetres)} from the camera`,
    `back wall ${printDistance(mark.backWallMetres)} behind`,
    wallWords('left', mark.leftWallMetres),
    wallWords('right', mark.rightWallMetres),
    `eyes ${printDistance(mark.eyeHeightMetres)} high`,
  ].join(', ');

const wallWords = (side: string, metres: number | null): string =>
  metres === null ? `no ${side} wall near` : `${side} wall ${printDistance(metres)} away`;

const paintingWords = ({painting}: Rig): string =>
  `${painting.name}, ${printKelvin(painting.kelvin)}, trail ${printLevel(painting.trailEv)} at f/${printNumber(painting.atFNumber, 1).replace(/\.0$/, '')} ISO ${painting.atIso}`;

const cueRows = ({cues}: CueSheet): Markup[] =>
  [...cues].sort((one, other) => one.atSeconds - other.atSeconds).map(cue => row(cue.name, cueWords(cue)));

const cueWords = ({atSeconds, sound}: Cue): string =>
  `${atSeconds < 0 ? '−' : ''}${seconds(Math.abs(atSeconds))}, ${sound === 'both' ? 'tone and speech' : sound}`;

/** A plate with what has been set otherwise since it was taken. */
const plateFigure = (plate: Plate, rig: Rig, picture: SmallPicture | null): Markup => {
  const changes = lightChanges(lightsOn(plate, plate.rig ?? rig), lightsOn(plate, rig));
  return markup`<figure>
${embedded(picture, `plate ${plate.plate}`)}
<figcaption>plate ${plate.plate}${plate.exposure && `, ${printSettings(plate.exposure)}`}${changes.length > 0 && `; since then ${changes.join(', ')}`}</figcaption>
</figure>
`;
};

/** Lessons as a list under a few words, or nothing. */
const lessonList = (words: string, lessons: readonly Lesson[]): Markup | null =>
  lessons.length > 0
    ? markup`<p>${words}</p>
<ul>${lessons.map(({attempt, say}) => markup`<li>Attempt ${attempt}. ${say}</li>`)}</ul>`
    : null;

const style = `
.sheet { display: grid; grid-template-columns: 1fr 1fr; gap: 1rem 1.5rem; }
.drawing svg { width: 100%; max-height: 34rem; }
.facts h2:first-child, .learned h2 { margin-top: 0; }
th { white-space: nowrap; }
.plates { display: grid; grid-template-columns: 1fr 1fr; gap: 0.75rem; align-content: start; }
figure { margin: 0; }
figcaption { font-size: 0.8rem; color: #555; }
.drawing img { display: block; margin-top: 1rem; }
.learned ul { margin: 0; padding-left: 1.2rem; }
.notes { white-space: pre-wrap; }
@page { size: A4; margin: 11mm; }
@media print {
  body { font-size: 8pt; line-height: 1.3; }
  h1 { font-size: 13pt; } h2 { font-size: 9pt; margin: 0.5rem 0 0.15rem; }
  th, td { padding: 0 0.5rem 0 0; }
  .sheet { gap: 3mm 6mm; }
  .full { font-size: 7.2pt; line-height: 1.2; }
  .full h2 { font-size: 8pt; }
  .full .drawing svg { max-height: 80mm; }
  .full .drawing > img { max-height: 55mm; width: auto; }
  .plates { gap: 2mm; }
  .plates img { max-height: 26mm; width: auto; }
  figcaption { font-size: 6.5pt; line-height: 1.15; }
  .learned li { break-inside: avoid; }
}
`;
