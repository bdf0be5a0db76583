import path from 'node:path';
import {expect, it} from 'vitest';
import {openStudio} from '../../adapters/studio/studio.js';
import type {ObedientRoom} from '../../shared/room.js';
import {openMeasurer} from '../../src/frame/open-measurer.js';
import {judge} from '../../src/judge/judge.js';
import {fastClock} from '../../src/shoot/cue-clock.js';
import {openSession} from '../../src/shoot/session.js';
import {fakeSound, temporaryFolder, untilState} from './fakes.js';

const SPEED = 20;

const PATIENCE_MS = 60_000;

it('on the simulated room, with the real measurer and judge, "go on" alone leads to a verdict that sees both flashes and the trail', async () => {
  const {folder, remove} = await temporaryFolder();
  const clock = fastClock(SPEED);
  let room: ObedientRoom | null = null;
  const session = await openSession({
    folder: path.join(folder, 'lantern-keeper'),
    program: 'darkset test',
    cameras: {
      open: async () => {
        const studio = await openStudio({clock, megapixels: 1, seed: 7});
        room = studio.room;
        return studio.camera;
      },
    },
    get room() {
      return room;
    },
    sound: fakeSound(),
    clock,
    speed: SPEED,
    measurer: openMeasurer(),
    judge,
    planWrap: async () => ({folder: '', files: [], bytes: 0}),
    wrapUp: async () => ({folder: '', files: []}),
    keepAwake: async () => () => undefined,
  });
  try {
    await untilState(session, state => state.camera.kind === 'connected', PATIENCE_MS);
    const asks = new Set(['resting', 'preflight']);
    for (let pressed = 0; pressed < 14; pressed++) {
      const {next} = await untilState(
        session,
        state => asks.has(state.activity.kind) && state.next.say !== '',
        PATIENCE_MS,
      );
      if (next.say === 'attempt 2') break;
      session.send({kind: 'go on'});
      await untilState(session, state => state.next.say !== next.say, PATIENCE_MS);
    }
    const {shoot} = session.state();
    const reading = shoot.attempts[0]!.reading!;
    expect(shoot.plates.map(({plate}) => plate)).toEqual(['dark', 'light A', 'light B', 'sitter']);
    expect(reading.lights.map(({id, fired}) => ({id, fired}))).toEqual([
      {id: 'A', fired: true},
      {id: 'B', fired: true},
    ]);
    expect(reading.trail!.coverage).toBeGreaterThan(0.2);
    expect(reading.checks.length).toBeGreaterThan(5);
    expect(reading.frame.exposure).toEqual({shutterSeconds: 8, fNumber: 8, iso: 100});
  } finally {
    await session.close();
    await remove();
  }
}, 240_000);
