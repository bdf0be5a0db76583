import {CameraFault} from '../../shared/camera.js';
import {type Exposure, printAperture, printIso, printShutter} from '../../shared/exposure.js';
import {nearestOf, nominalFNumbers, nominalIsos, nominalShutters} from '../../src/light/nominal.js';

/** What the studio camera's dials offer. */
const fNumbers = nominalFNumbers()
  .map(({marked}) => marked)
  .filter(n => n >= 1.8 && n <= 22);
const isos = nominalIsos()
  .map(({marked}) => marked)
  .filter(iso => iso >= 50 && iso <= 25_600);
const shutters = nominalShutters().map(({marked}) => marked);
const FASTEST = 1 / 8000;
/** Past the last mark the camera holds the shutter open by itself (bulb) for as long as it is told. */
const LONGEST = 3600;

const refuse = (what: string, wanted: string, nearest: string): never => {
  throw new CameraFault('refused', `The studio camera has no ${what} ${wanted}; the nearest is ${nearest}.`);
};

const onDial = (what: string, marks: readonly number[], wanted: number, print: (value: number) => string): number => {
  const nearest = nearestOf(marks, wanted);
  // A sixth of a stop and a little, as marked values are rounded: more than that is off the dial.
  const perStop = what === 'aperture' ? 2 : 1;
  if (Math.abs(Math.log2(wanted / nearest)) * perStop > 0.25) refuse(what, print(wanted), print(nearest));
  return nearest;
};

const shutterOnDial = (wanted: number): number => {
  if (wanted < FASTEST * 0.85) return refuse('shutter time', printShutter(wanted), printShutter(FASTEST));
  if (wanted > LONGEST) return refuse('shutter time', printShutter(wanted), printShutter(LONGEST));
  const nearest = nearestOf(shutters, wanted);
  if (Math.abs(Math.log2(wanted / nearest)) < 0.06) return nearest;
  // From a second on any time is held by the camera's own timer; shorter ones need a mark.
  return wanted >= 1 ? wanted : nearest;
};

/**
 * What the dials show after being turned to these values.
 * @throws CameraFault `refused`, naming the nearest value there is
 */
export const turned = (from: Exposure, change: Partial<Exposure>): Exposure => ({
  shutterSeconds: change.shutterSeconds === undefined ? from.shutterSeconds : shutterOnDial(change.shutterSeconds),
  fNumber: change.fNumber === undefined ? from.fNumber : onDial('aperture', fNumbers, change.fNumber, printAperture),
  iso: change.iso === undefined ? from.iso : onDial('sensitivity', isos, change.iso, printIso),
});
