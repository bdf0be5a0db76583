import {describe, expect, it} from 'vitest';
import {demoRig} from '../../shared/rig.js';
import {moreLines} from '../../src/screen/plan-more.js';
import {bindingOf, bindingsFor} from '../../src/screen/ui/bindings.js';
import {reduceUi} from '../../src/screen/ui/reduce.js';
import {type Draft, firstUi, type Ui} from '../../src/screen/ui/state.js';
import {someState} from './fake-session.js';

const exposure = {shutterSeconds: 8, fNumber: 8, iso: 100};
const plan: Draft = {exposure, roomEv100: -1, rig: demoRig};
const state = someState({next: {place: 'plan', say: 'agree', how: ''}});

const text = (draft: Draft): string =>
  moreLines(exposure, draft)
    .map(line => line.text)
    .join('\n');

const pressed = (ui: Ui, ...names: string[]): Ui =>
  names.reduce(
    (current, key) =>
      (bindingOf(bindingsFor(current, state), key)?.effects ?? []).reduce(
        (next, effect) => (effect.kind === 'ui' ? reduceUi(next, effect.action) : next),
        current,
      ),
    ui,
  );

describe('more of the plan', () => {
  it('says what buries the room, focus in centimetres, walls, ratio and white balance', () => {
    const said = text(plan);
    expect(said).toMatch(/^Cheapest: /m);
    // 50 mm at f/8 and 2 m, c = 0.030 mm: 1684.6 to 2460.6 mm (thin-lens formula).
    expect(said).toContain('32 cm in front of the mark, 46 cm behind it');
    expect(said).toMatch(/and the wall gets 0\.\d EV darker/);
    expect(said).toMatch(/key to fill 1\.6:1/);
    expect(said).toMatch(/^White balance 3450 K makes the light of B neutral/m);
  });

  it('cautions where pops do not fit into the time', () => {
    const lights = demoRig.lights.map(light => ({...light, power: 1, pops: 4}));
    expect(text({...plan, rig: {...demoRig, lights}})).toContain('too long for 8 s');
    expect(text(plan)).not.toContain('too long');
  });

  it('begins with what a change of the exposure does, told from what is set', () => {
    const [first, second] = moreLines(exposure, {...plan, exposure: {shutterSeconds: 8, fNumber: 10, iso: 50}});
    expect(first).toEqual({text: 'Change to 8 s f/10 ISO 50', heading: true});
    // −2·log2(10/8) − 1 = −1.644 EV.
    expect(second!.text).toContain('−1.64 EV');
    expect(moreLines(exposure, plan)[0]!.text).toBe('Exposure');
  });

  it('lets nothing of a rig act on the terminal', () => {
    const painting = {...demoRig.painting, name: 'wand\u001b[2J'};
    expect(text({...plan, rig: {...demoRig, painting}})).not.toContain('\u001b');
  });

  it('opens and closes by m; the arrows then scroll and change no value', () => {
    const opened = pressed(firstUi(state), 'm');
    expect(opened.plan.more).toBe(0);
    const scrolled = pressed(opened, 'down', 'down', 'up', 'right', 'left');
    expect(scrolled.plan).toEqual({...firstUi(state).plan, more: 1});
    expect(pressed(opened, 'up').plan.more).toBe(0);
    const last = moreLines(state.shoot.exposure, {exposure, roomEv100: -4, rig: demoRig}).length - 1;
    expect(pressed(opened, ...Array.from({length: 80}, () => 'down')).plan.more).toBe(last);
    expect(pressed(scrolled, 'm').plan.more).toBeNull();
  });

  it('keeps a changed rig in one word of the session', () => {
    const atAngle = pressed(firstUi(state), ...Array.from({length: 12}, () => 'down'), 'right');
    const effects = bindingOf(bindingsFor(atAngle, state), 'space')!.effects;
    const sent = effects.flatMap(effect => (effect.kind === 'send' ? [effect.intent] : []));
    const [a, b] = demoRig.lights;
    expect(sent).toEqual([{kind: 'set rig', rig: {...demoRig, lights: [{...a, angleDegrees: -46}, b]}}]);
  });
});
