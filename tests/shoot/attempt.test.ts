import path from 'node:path';
import fc from 'fast-check';
import {describe, expect, it} from 'vitest';
import {CameraFault} from '../../shared/camera.js';
import {PreflightFault} from '../../src/shoot/preflight.js';
import type {PreflightItem} from '../../src/shoot/state.js';
import {allWell, filesOf, kindsOf, stage, stopReason, when} from './attempt-stage.js';

describe('an attempt', () => {
  it('goes from the countdown to its verdict and writes down every step', async () => {
    const made = await stage({raw: true});
    const outcome = await made.run();
    expect(kindsOf(made)).toEqual([
      'attempt-begun',
      'shutter-opened',
      'shutter-closed',
      'frames-made',
      'frame-pulled',
      'frame-pulled',
      'measured',
    ]);
    expect(outcome).toMatchObject({kind: 'measured', troubles: []});
    expect(await filesOf(made)).toEqual(['DSC_0001.JPG', 'DSC_0001.RAW']);
    expect(made.open.shoot().attempts[0]).toMatchObject({
      stage: 'measured',
      told: ['The floor is clear.'],
      openSeconds: 8,
    });
    expect(made.measurer.measured).toEqual([path.join(made.kit.shootFolder, 'attempts/001/DSC_0001.JPG')]);
  });

  it('opens at the end of the countdown and calls every cue at its time', async () => {
    const made = await stage();
    await made.run();
    const opening = made.shown.find(({activity}) => activity.kind === 'open')!;
    const counting = made.shown.findLast(({activity}) => activity.kind === 'countdown')!.activity;
    expect(counting.kind === 'countdown' && Math.abs(counting.opensAtMs - opening.atMs)).toBeLessThan(5);

    const heard = made.shown.flatMap(({atMs, activity}) =>
      (activity.kind === 'countdown' || activity.kind === 'open') && activity.cue ? [{cue: activity.cue, atMs}] : [],
    );
    const firsts = heard.filter(({cue}, at) => heard.findIndex(other => other.cue === cue) === at);
    const sheet = made.open.shoot().cues.cues.filter(({name}) => name !== 'closed');
    expect(firsts.map(({cue}) => cue).filter(cue => cue !== 'closed')).toEqual(sheet.map(({name}) => name));
    for (const {name, atSeconds} of sheet) {
      const {atMs} = firsts.find(({cue}) => cue === name)!;
      expect(Math.abs(atMs - opening.atMs - atSeconds * 1000)).toBeLessThan(20);
    }
  });

  it('lets the camera get ready 3 s before the opening, and opens on time whatever comes of that', async () => {
    const made = await stage();
    const armed: {seconds: number; atMs: number}[] = [];
    made.camera.arm = async seconds => {
      armed.push({seconds, atMs: made.clock.now()});
      throw new CameraFault('refused', 'The camera would not.');
    };
    expect(await made.run()).toMatchObject({kind: 'measured'});
    const opening = made.shown.find(({activity}) => activity.kind === 'open')!;
    expect(armed).toEqual([{seconds: 8, atMs: expect.closeTo(opening.atMs - 3000, -1)}]);
  });

  it('arranges a room that arranges itself: all flashes that are on, the sitter, painting, room light out', async () => {
    const made = await stage();
    await made.run();
    expect(made.room.arranged).toHaveLength(1);
    expect(made.room.arranged[0]).toMatchObject({firing: ['A', 'B'], roomLights: false, sitter: true, painting: true});
  });

  it('begins nothing when the preflight does not allow it', async () => {
    const made = await stage();
    const [camera, floor] = allWell as [PreflightItem, PreflightItem];
    await expect(
      made.run({items: [{...camera, state: 'fail', say: 'No camera.', fix: 'Plug it in.'}, floor]}),
    ).rejects.toThrow(new PreflightFault('Not ready: No camera. Plug it in.'));
    await expect(made.run({items: [camera, {...floor, state: 'open'}]})).rejects.toThrow(PreflightFault);
    expect(made.entries).toEqual([]);
    expect(made.camera.exposures).toEqual([]);
  });

  it('is kept unmeasured, with the reason, when its frame cannot be read', async () => {
    const made = await stage();
    made.measurer.answers.push(new Error('DSC_0001.JPG is not a picture.'));
    expect(await made.run()).toMatchObject({kind: 'unmeasured', why: 'DSC_0001.JPG is not a picture.'});
    expect(kindsOf(made).at(-1)).toBe('unmeasured');
  });

  it('is measured although its RAW file did not come through, and says so', async () => {
    const made = await stage({raw: true});
    const {pull} = made.camera;
    made.camera.pull = async (frame, ...rest) => {
      if (frame.kind === 'raw') throw new CameraFault('lost', 'The RAW file came through broken.');
      await pull(frame, ...rest);
    };
    const outcome = await made.run();
    expect(outcome.kind).toBe('measured');
    expect(outcome.troubles.map(String)).toEqual(['CameraFault: The RAW file came through broken.']);
    expect(made.open.shoot().attempts[0]!.files).toHaveLength(1);
  });
});

describe('a stop', () => {
  it('in the countdown opens no shutter and silences the sound', async () => {
    const made = await stage();
    when(
      made,
      activity => activity.kind === 'countdown' && activity.cue === 'lights out',
      () => made.stop.abort(stopReason),
    );
    expect(await made.run()).toMatchObject({kind: 'stopped', during: 'countdown', why: 'Stopped by hand.'});
    expect(kindsOf(made)).toEqual(['attempt-begun', 'attempt-stopped']);
    expect(made.camera.exposures).toEqual([]);
    expect(made.sound.stopped).toBe(1);
  });

  it('in the exposure closes the shutter, and the frame that exists is pulled and kept', async () => {
    const made = await stage();
    when(
      made,
      activity => activity.kind === 'open' && activity.cue === 'paint',
      () => made.stop.abort(stopReason),
    );
    expect(await made.run()).toMatchObject({kind: 'stopped', during: 'exposure'});
    expect(kindsOf(made)).toEqual([
      'attempt-begun',
      'shutter-opened',
      'shutter-closed',
      'frames-made',
      'frame-pulled',
      'attempt-stopped',
    ]);
    const attempt = made.open.shoot().attempts[0]!;
    expect(attempt.openSeconds).toBeLessThan(1);
    expect(attempt).toMatchObject({stage: 'stopped', reading: null});
    expect(await filesOf(made)).toEqual(['DSC_0001.JPG']);
  });

  it('said twice leaves the frame on the camera, whole, and nothing half in the shoot', async () => {
    const made = await stage();
    when(
      made,
      activity => activity.kind === 'open',
      () => made.stop.abort(stopReason),
    );
    const {show} = made.kit;
    made.kit.show = activity => {
      show(activity);
      if (activity.kind === 'pulling' && activity.bytes > 0) made.stopAgain.abort(stopReason);
    };
    expect(await made.run()).toMatchObject({kind: 'stopped', during: 'exposure'});
    expect(kindsOf(made)).toEqual([
      'attempt-begun',
      'shutter-opened',
      'shutter-closed',
      'frames-made',
      'attempt-stopped',
    ]);
    expect(await filesOf(made)).toEqual([]);
    expect(made.camera.card.size).toBe(1);
  });

  it('in the pull leaves the frame on the camera and says so', async () => {
    const made = await stage();
    when(
      made,
      activity => activity.kind === 'pulling' && activity.bytes > 0,
      () => made.stop.abort(stopReason),
    );
    expect(await made.run()).toMatchObject({kind: 'stopped', during: 'pull'});
    expect(kindsOf(made)).toEqual([
      'attempt-begun',
      'shutter-opened',
      'shutter-closed',
      'frames-made',
      'attempt-stopped',
    ]);
    expect(await filesOf(made)).toEqual([]);
  });

  it('in the measuring keeps the frame, unmeasured', async () => {
    const made = await stage();
    when(
      made,
      activity => activity.kind === 'measuring',
      () => made.stop.abort(stopReason),
    );
    made.measurer.measure = () => new Promise(() => undefined);
    expect(await made.run()).toMatchObject({kind: 'stopped', during: 'measuring'});
    expect(made.open.shoot().attempts[0]!.files).toHaveLength(1);
  });

  it('at any instant leaves a journal that tells what happened, and no frame is lost', async () => {
    await fc.assert(
      fc.asyncProperty(fc.integer({min: 0, max: 24_000}), fc.integer({min: 0, max: 3000}), async (firstMs, againMs) => {
        const made = await stage();
        const {clock} = made;
        const start = clock.now();
        const over = new AbortController();
        clock.until(start + firstMs, over.signal).then(
          () => made.stop.abort(stopReason),
          () => undefined,
        );
        clock.until(start + firstMs + againMs, over.signal).then(
          () => made.stopAgain.abort(stopReason),
          () => undefined,
        );
        const outcome = await made.run();
        over.abort();

        const told = kindsOf(made).join(' ');
        expect(told).toMatch(
          /^attempt-begun( shutter-opened shutter-closed frames-made( frame-pulled)?)? attempt-stopped$|^attempt-begun shutter-opened shutter-closed frames-made frame-pulled measured$/,
        );
        const attempt = made.open.shoot().attempts[0]!;
        expect(attempt.stage).toBe(outcome.kind === 'measured' ? 'measured' : 'stopped');
        expect(await filesOf(made)).toEqual(attempt.files.map(file => path.basename(file.path)));
        const onCamera = [...made.camera.card.keys()];
        expect(attempt.framesMade.map(({name}) => name)).toEqual(onCamera);
      }),
      {numRuns: 60},
    );
  });
});
