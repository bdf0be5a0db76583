import {readdir} from 'node:fs/promises';
import {describe, expect, it} from 'vitest';
import {CameraFault} from '../../shared/camera.js';
import {JournalFault} from '../../src/shoot/journal.js';
import {filesOf, kindsOf, type Stage, stage, stopReason, when} from './attempt-stage.js';

describe('a fault', () => {
  it('of the camera in the exposure ends the attempt with its sentence', async () => {
    const made = await stage();
    made.camera.failNext('expose', new CameraFault('gone', 'The camera was unplugged; plug it in again.'));
    expect(await made.run()).toMatchObject({
      kind: 'stopped',
      during: 'exposure',
      why: 'The camera was unplugged; plug it in again.',
    });
    expect(kindsOf(made)).toEqual(['attempt-begun', 'attempt-stopped']);
  });

  it('of a camera that never answers again is not waited for for ever', async () => {
    const made = await stage();
    made.camera.expose = ({onOpen}) => {
      onOpen();
      return new Promise(() => undefined);
    };
    expect(await made.run()).toMatchObject({
      kind: 'stopped',
      during: 'exposure',
      why: 'The camera does not answer any more; switch it off and on.',
    });
    expect(made.clock.now()).toBeLessThan(120_000);
  });

  it('of the journal before the opening keeps the shutter closed', async () => {
    const made = await stage();
    made.kit.append = async () => {
      throw new JournalFault('The disk is full.');
    };
    await expect(made.run()).rejects.toThrow(JournalFault);
    expect(made.camera.exposures).toEqual([]);
  });

  it('of the journal during the exposure lets the shutter close properly and leaves the frame on the camera', async () => {
    const made = await stage();
    const {append} = made.kit;
    made.kit.append = async event => {
      if (event.kind === 'shutter-closed') throw new JournalFault('The disk is full.');
      return append(event);
    };
    await expect(made.run()).rejects.toThrow('The disk is full.');
    expect(kindsOf(made)).toEqual(['attempt-begun', 'shutter-opened']);
    expect(made.camera.card.size).toBe(1);
    expect(await filesOf(made)).toEqual([]);
  });
});

describe('a computer that slept', () => {
  it('through the countdown stops the attempt with the shutter closed', async () => {
    const made = await stage();
    when(
      made,
      activity => activity.kind === 'countdown' && activity.cue === 'lights out',
      () => made.sleep(3_600_000),
    );
    expect(await made.run()).toMatchObject({
      kind: 'stopped',
      during: 'countdown',
      why: 'The computer slept or was held up for 3600 s, so the cues were no longer true.',
    });
    expect(made.camera.exposures).toEqual([]);
  });

  it('through the exposure ends it, keeps the frame and says why', async () => {
    const made = await stage();
    when(
      made,
      activity => activity.kind === 'open' && activity.cue === 'paint',
      () => made.sleep(60_000),
    );
    expect(await made.run()).toMatchObject({kind: 'stopped', during: 'exposure', why: /slept or was held up for 60 s/});
    const attempt = made.open.shoot().attempts[0]!;
    expect(attempt.openSeconds).toBeLessThan(2);
    expect(attempt.files).toHaveLength(1);
  });

  it('is also noticed where the clock itself runs on in sleep, by a wait that ends far too late', async () => {
    const made = await stage();
    when(
      made,
      activity => activity.kind === 'countdown' && activity.cue === 'lights out',
      () => made.clock.jump(500_000),
    );
    expect(await made.run()).toMatchObject({kind: 'stopped', during: 'countdown', why: /slept/});
  });

  it('is not seen in a wall clock that is set to another time, nor in a moment of lateness', async () => {
    const made = await stage();
    const real = Date.now;
    when(
      made,
      activity => activity.kind === 'countdown' && activity.cue === 'lights out',
      () => {
        Date.now = () => real() + 86_400_000;
        made.sleep(30);
        made.clock.jump(200);
      },
    );
    try {
      expect((await made.run()).kind).toBe('measured');
    } finally {
      Date.now = real;
    }
  });
});

describe('a room check', () => {
  const withCheck = async (made: Stage, go: Promise<void>) => made.run({roomCheck: true, hold: () => go});

  it('probes after lights out, tells aloud that the room is dark, and opens only when told to', async () => {
    const made = await stage();
    let say = (): void => undefined;
    const told = new Promise<void>(resolve => {
      say = resolve;
    });
    when(
      made,
      activity => activity.kind === 'room check' && activity.holding,
      () => {
        expect(made.camera.exposures).toEqual([0.25]);
        expect(made.sound.said).toEqual(['Room dark, −9.4 EV.']);
        say();
      },
    );
    expect((await withCheck(made, told)).kind).toBe('measured');
    expect(made.camera.exposures).toEqual([0.25, 8]);
    expect(kindsOf(made).slice(0, 5)).toEqual([
      'attempt-begun',
      'probe-begun',
      'probe-made',
      'room-checked',
      'shutter-opened',
    ]);
    expect(made.open.shoot().attempts[0]!.roomCheck).toBe('Room dark, −9.4 EV.');
    expect((await made.camera.status()).exposure).toEqual({shutterSeconds: 8, fNumber: 8, iso: 100});
    expect(await readdir(made.kit.shootFolder)).not.toContain('.probe');
  });

  it('tells where a room leaks that is not dark, by the limits of the shoot', async () => {
    const made = await stage();
    made.measurer.answers.push({ambient: {levelEv: -3.2, riseEv: 5.8, side: 'left', kelvin: 4000}});
    await withCheck(made, Promise.resolve());
    expect(made.sound.said[0]).toBe('The room is not dark: -3.21 EV, mostly from the left of the picture.');
  });

  it('claims no level that the noise of the probe could hide', async () => {
    const made = await stage();
    // Half a code of 8 bits is −10.2 EV: under twice that, nothing is known but the bound.
    made.measurer.answers.push({ambient: {levelEv: -9.8, riseEv: null, side: null, kelvin: null}});
    const seen: boolean[] = [];
    await made.run({roomCheck: true, hold: () => Promise.resolve(), roomSeen: isDark => void seen.push(isDark)});
    expect(made.sound.said[0]).toBe('Room dark, darker than −9.2 EV.');
    expect(seen).toEqual([true]);
  });

  it('has no flash, and nobody painting, in a room that arranges itself', async () => {
    const made = await stage();
    await withCheck(made, Promise.resolve());
    expect(made.room.arranged[0]).toMatchObject({firing: [], painting: false, roomLights: false});
  });

  it('can be stopped while it holds; the shutter stays closed', async () => {
    const made = await stage();
    when(
      made,
      activity => activity.kind === 'room check' && activity.holding,
      () => made.stop.abort(stopReason),
    );
    expect(await withCheck(made, new Promise(() => undefined))).toMatchObject({kind: 'stopped', during: 'room check'});
    expect(made.camera.exposures).toEqual([0.25]);
    expect((await made.camera.status()).exposure?.shutterSeconds).toBe(8);
  });
});

describe('a camera whose shutter is opened by hand', () => {
  /** As a watched folder is one: it says "open" when it begins to wait, and gives frames when a file has come. */
  const byHand = async (arrives: boolean): Promise<Stage> => {
    const can = {setExposure: false, openShutter: false, focusDrive: false, probe: false};
    const made = await stage({status: {can, exposure: null}});
    made.camera.expose = async ({seconds, signal, onOpen, onClose}) => {
      onOpen();
      await made.clock.until(made.clock.now() + seconds * 1000, signal).catch(() => undefined);
      onClose();
      await made.clock.until(made.clock.now() + (arrives ? 20_000 : 1e9), signal).catch(() => undefined);
      return arrives ? [made.camera.makeByHand('CARD_1.JPG')] : [];
    };
    return made;
  };

  it('is dark while the asked seconds run, then waits for the file as long as it takes', async () => {
    const made = await byHand(true);
    expect((await made.run()).kind).toBe('measured');
    const kinds = made.shown.map(({activity}) => activity.kind).filter((kind, at, all) => kind !== all[at - 1]);
    expect(kinds).toEqual(['countdown', 'open', 'waiting for a file', 'pulling', 'measuring']);
  });

  it('can be stopped while the file is awaited; the journal leaves open whether there is one', async () => {
    const made = await byHand(false);
    when(
      made,
      activity => activity.kind === 'waiting for a file',
      () => made.stop.abort(stopReason),
    );
    expect(await made.run()).toMatchObject({kind: 'stopped', during: 'exposure'});
    expect(kindsOf(made)).toEqual(['attempt-begun', 'shutter-opened', 'shutter-closed', 'attempt-stopped']);
    expect(made.open.shoot().attempts[0]).toMatchObject({framesTold: false, files: []});
  });
});
