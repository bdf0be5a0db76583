import type {Check, LightReading} from '../../../shared/reading.js';
import {printSigned, printStops} from '../../light/words.js';
import {isDrowned} from '../drowned.js';
import {expectedLightEv, isReshaped} from '../expected.js';
import {limitRules} from '../limits.js';
import {checkAgainst, type View} from '../view.js';

const notMeasured = (id: string, state: Check['state'], say: string): Check => ({
  id,
  state,
  say,
  value: null,
  limit: null,
  unit: limitRules['flash strength'].unit,
});

const strength = (view: View, light: LightReading, ev: number): Check => {
  const id = `flash ${light.id}`;
  const expected = expectedLightEv(view, light.id);
  const stray = ev - expected;
  const asWanted = view.against('flash strength', Math.abs(stray));
  if (asWanted !== 'ok' && isReshaped(view, light.id)) {
    const say = `${printSigned(ev)}; it stands or points otherwise than on its plate`;
    return checkAgainst(view, id, 'flash strength', ev, say, 'watch');
  }
  if (asWanted !== 'ok' && isDrowned(view.measurement)) {
    return checkAgainst(view, id, 'flash strength', ev, 'can’t be told well beside the room’s light', 'watch');
  }
  const say = (): string => {
    if (asWanted === 'ok') return printSigned(ev);
    if (Math.abs(stray - 1) < 0.25) return `${printSigned(ev)}: twice the light, as from two pops or one stop more`;
    const amount = printStops(stray);
    return `${printSigned(ev)}: ${amount} ${stray > 0 ? 'too strong' : 'too weak'} against its plate`;
  };
  return {...checkAgainst(view, id, 'flash strength', Math.abs(stray), say(), asWanted), value: ev};
};

const oneFlash = (view: View, light: LightReading): Check[] => {
  const id = `flash ${light.id}`;
  const inRig = view.rig?.lights.find(each => each.id === light.id);
  const wanted = view.rig === null || inRig === undefined || inRig.on;
  if (!wanted) return light.fired ? [notMeasured(id, 'watch', 'fired, though the rig has it off')] : [];
  if (!light.fired) return [notMeasured(id, 'fail', 'did not fire')];
  return light.ev === null
    ? [notMeasured(id, 'watch', 'fired; its strength could not be told')]
    : [strength(view, light, light.ev)];
};

/** Whether each flash fired, and how strong against its plate. Flashes without a plate can't be told apart. */
export const flashChecks = (view: View): Check[] => view.measurement.lights.flatMap(light => oneFlash(view, light));
