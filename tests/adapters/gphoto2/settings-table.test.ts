import {describe, expect, it} from 'vitest';
import {readDials, turn, turnToBulb} from '../../../adapters/gphoto2/dials.js';
import {driveFocus, lockFocus} from '../../../adapters/gphoto2/focus.js';
import type {CallName, CallOf, Setting} from '../../../adapters/gphoto2/messages.js';
import type {Session} from '../../../adapters/gphoto2/session.js';
import {bulbWays, settingNames} from '../../../adapters/gphoto2/settings-table.js';
import {statusOf} from '../../../adapters/gphoto2/status.js';
import {causeOf} from './bench.js';

/*
 * Cameras whose settings have other names and forms than the loopback camera's, as settings alone: what the table is
 * for can't be seen on one camera.
 */

const choice = (name: string, value: string, choices: string[], readOnly = false): Setting => ({
  name,
  type: 'choice',
  readOnly,
  value,
  choices,
  range: null,
});

const other = (name: string, type: Setting['type'], value: Setting['value'], readOnly = false): Setting => ({
  name,
  type,
  readOnly,
  value,
  choices: [],
  range: null,
});

/** A session that answers from these settings; `refuses` are taken in words only. */
const sessionWith = (settings: Setting[], refuses: string[] = []) => {
  const byName = new Map(settings.map(setting => [setting.name, setting]));
  const written: [string, string | number][] = [];
  const facts = {
    identity: {kind: 'gphoto2' as const, maker: '', model: 'x', serial: '', port: 'usb'},
    names: new Set(byName.keys()),
    canOpenShutter: true,
    hasOpenCapture: false,
  };
  const answer = (call: CallOf<CallName>): unknown => {
    if (call.do === 'read') return {settings: call.names.map(name => byName.get(name) ?? null)};
    if (call.do === 'write') {
      written.push([call.name, call.value]);
      const setting = byName.get(call.name);
      if (setting !== undefined && !refuses.includes(call.name)) byName.set(call.name, {...setting, value: call.value});
      return {};
    }
    throw new Error(`Not asked for here: ${call.do}`);
  };
  const session = {ready: async () => facts, ask: async (call: CallOf<CallName>) => answer(call)} as unknown as Session;
  return {session, written, facts};
};

const first = [
  choice('shutterspeed2', '1/125', ['1/250', '1/125', '1', '8', 'bulb']),
  choice('aperture', '8', ['5.6', '8', '11']),
  choice('iso', '100', ['Auto', '50', '100', '200']),
  choice('focusmode2', 'AF-S', ['AF-S', 'MF (fixed)']),
  choice('imgquality', 'RAW', ['RAW', 'RAW+JPEG (Fine)']),
  choice('autoexposuremode', 'Manual', ['Manual', 'AV'], true),
  other('autofocus', 'toggle', 2),
  other('batterylevel', 'text', '12%', true),
  other('availableshots', 'text', '345', true),
];

const beside = (facts: ReturnType<typeof sessionWith>['facts']) => ({
  facts,
  storages: [
    {writable: true, freeBytes: 5e9, freeFrames: 999},
    {writable: true, freeBytes: 2e9, freeFrames: 80},
    {writable: false, freeBytes: 0, freeFrames: 0},
  ],
  clockDifferenceSeconds: null,
  bulbSeconds: null,
  formatSeen: null,
  lockedByUs: false,
  remarks: [],
});

describe('a camera that calls its settings something else', () => {
  it('is read by the table', async () => {
    const {session, facts} = sessionWith(first);
    const status = statusOf(await readDials(session), beside(facts));
    expect(status).toMatchObject({
      exposure: {shutterSeconds: 1 / 125, fNumber: 8, iso: 100},
      focusMode: 'auto',
      format: 'raw',
      batteryPercent: 12,
      freeFrames: 345,
      can: {setExposure: true, focusDrive: true},
    });
    // Of two cards the fuller counts; one that can't be written to doesn't.
    expect(status.freeBytes).toBe(2e9);
  });

  it('is set by its own choices', async () => {
    const {session, written} = sessionWith(first);
    const readings = await readDials(session);
    await turn(session, readings, 'shutterSeconds', 8);
    await turn(session, readings, 'fNumber', 11);
    await turn(session, readings, 'iso', 200);
    expect(written).toEqual([
      ['shutterspeed2', '8'],
      ['aperture', '11'],
      ['iso', '200'],
    ]);
    expect(await turnToBulb(session, readings)).toBe(true);
  });

  it('is focused and locked by its own settings', async () => {
    const {session, written} = sessionWith(first);
    const readings = await readDials(session);
    await driveFocus(session, readings);
    expect(await lockFocus(session, readings)).toEqual({shown: true});
    expect(written).toEqual([
      ['autofocus', 1],
      ['focusmode2', 'MF (fixed)'],
    ]);
  });

  it('locks its focus by a switch, or by keeping the release from focusing, where the mode can’t be set', async () => {
    const mode = choice('focusmode', 'One Shot', ['One Shot'], true);
    const locking = sessionWith([mode, other('focuslock', 'toggle', 2)]);
    expect(await lockFocus(locking.session, await readDials(locking.session))).toEqual({shown: false});
    expect(locking.written).toEqual([['focuslock', 1]]);
    const releasing = sessionWith([mode, choice('autofocus', 'On', ['On', 'Off'])]);
    expect(await lockFocus(releasing.session, await readDials(releasing.session))).toEqual({shown: false});
    expect(releasing.written).toEqual([['autofocus', 'Off']]);
  });

  it('that has two settings for one dial is turned by the one that turns', async () => {
    const {session, written} = sessionWith([
      choice('shutterspeed', '0.0080s', ['0.0080s'], true),
      choice('shutterspeed2', '1/125', ['1/125', '8']),
    ]);
    const readings = await readDials(session, ['shutter']);
    await turn(session, readings, 'shutterSeconds', 8);
    expect(written).toEqual([['shutterspeed2', '8']]);
  });

  it('whose aperture is a slider is given a number', async () => {
    const slider: Setting = {...other('f-number', 'range', 5.6), range: {low: 1.8, high: 16, step: 0.1}};
    const {session, written} = sessionWith([slider]);
    await turn(session, await readDials(session, ['aperture']), 'fNumber', 8);
    expect(written[0]![0]).toBe('f-number');
    expect(written[0]![1]).toBeCloseTo(8, 6);
  });

  it('is not believed when it says yes and stays', async () => {
    const {session} = sessionWith(first, ['aperture']);
    expect(await causeOf(turn(session, await readDials(session), 'fNumber', 11))).toBe('refused');
  });
});

describe('a camera that the table doesn’t know', () => {
  it('says what it can’t, and what it stands in the way of', async () => {
    const {session, facts} = sessionWith([
      choice('verschlusszeit', '8', ['8']),
      choice('expprogram', 'P', ['P', 'M']),
      choice('capturetarget', 'Internal RAM', ['Internal RAM']),
    ]);
    const status = statusOf(await readDials(session), beside({...facts, canOpenShutter: false}));
    expect(status.exposure).toBeNull();
    expect(status.can).toEqual({setExposure: false, openShutter: false, focusDrive: false, probe: false});
    const said = status.notes.join(' ');
    for (const words of [
      'shutter time',
      'aperture',
      'ISO',
      'turn the camera to M',
      'not on the card',
      'released by hand|can’t be released',
    ]) {
      expect(said).toMatch(new RegExp(words));
    }
  });
});

describe('the table itself', () => {
  it('has every name that is known to vary', () => {
    expect(settingNames.shutter).toEqual(['shutterspeed', 'shutterspeed2', 'exptime']);
    expect(settingNames.aperture).toEqual(['f-number', 'aperture']);
    expect(settingNames.focusMode).toEqual(['focusmode', 'focusmode2', 'autofocus']);
    expect(settingNames.program).toEqual(['expprogram', 'autoexposuremode']);
    expect(settingNames.format).toEqual(['imagequality', 'imageformat', 'imgquality']);
    expect(bulbWays.map(way => way.name)).toEqual(['bulb', 'eosremoterelease', 'movie']);
  });
});
