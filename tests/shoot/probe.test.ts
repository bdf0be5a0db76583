import {afterEach, beforeEach, describe, expect, it} from 'vitest';
import {CameraFault} from '../../shared/camera.js';
import {demoRig} from '../../shared/rig.js';
import {ev100} from '../../src/light/exposure.js';
import {probeExposures, takeProbe} from '../../src/shoot/probe.js';
import {StopAsked} from '../../src/shoot/stopping.js';
import {fakeCamera, fakeMeasurer, fakeSound, jumpingClock, temporaryFolder} from './fakes.js';

const exposure = {shutterSeconds: 8, fNumber: 8, iso: 100};

describe('the exposures of a probe', () => {
  it('equal the long one: 8 s ISO 100 is ¼ s ISO 3200', () => {
    const choices = probeExposures(exposure);
    expect(choices[0]).toEqual({shutterSeconds: 0.25, fNumber: 8, iso: 3200});
    for (const choice of choices) expect(ev100(choice)).toBeCloseTo(ev100(exposure), 9);
  });

  it('stop at a sensitivity that cameras have', () => {
    expect(probeExposures({shutterSeconds: 900, fNumber: 8, iso: 100})[0]).toEqual({
      shutterSeconds: 900 / 128,
      fNumber: 8,
      iso: 12_800,
    });
  });
});

describe('taking a probe', () => {
  let folder: string;
  let remove: () => Promise<void>;
  beforeEach(async () => {
    ({folder, remove} = await temporaryFolder());
  });
  afterEach(async () => remove());

  const kit = () => {
    const clock = jumpingClock();
    const camera = fakeCamera({clock});
    const measurer = fakeMeasurer();
    return {
      camera,
      measurer,
      sound: fakeSound(),
      time: {clock, speed: 1, asleepMs: () => 0},
      room: null,
      shootFolder: folder,
      byHand: false,
      show: () => undefined,
    };
  };
  const order = {exposure, rig: demoRig, zones: null};
  const never = new AbortController().signal;

  it('falls back to the next exposure where the camera refuses one, and sets it back afterwards', async () => {
    const made = kit();
    made.camera.failNext('set', new CameraFault('refused', 'No ISO 3200 here.'));
    await takeProbe(made, order, never);
    expect(made.camera.exposures).toEqual([0.5]);
    expect((await made.camera.status()).exposure).toEqual(exposure);
  });

  it('sets the camera back also when it is stopped or fails', async () => {
    const made = kit();
    const stop = new AbortController();
    made.measurer.measure = async () => {
      stop.abort(new StopAsked());
      return new Promise(() => undefined);
    };
    await expect(takeProbe(made, order, stop.signal)).rejects.toThrow(StopAsked);
    expect((await made.camera.status()).exposure).toEqual(exposure);
    made.camera.failNext('expose', new CameraFault('full', 'The card is full.'));
    await expect(takeProbe(made, order, never)).rejects.toThrow('The card is full.');
    expect((await made.camera.status()).exposure).toEqual(exposure);
  });
});
