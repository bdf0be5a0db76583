import {afterEach, describe, expect, it} from 'vitest';
import {type FakeWorld, fakeSession} from './fakes.js';

const worlds: FakeWorld[] = [];
const world = async (options: Parameters<typeof fakeSession>[0] = {}): Promise<FakeWorld> => {
  const made = await fakeSession({speed: 400, ...options});
  worlds.push(made);
  return made;
};
afterEach(async () => {
  for (const made of worlds.splice(0)) await made.close();
});

describe('a newcomer with no key but "go on"', () => {
  it('gets from an empty folder through plan, plates and face to the first verdict', async () => {
    const {session, until, camera} = await world({camera: {status: {focusMode: 'auto', focusLocked: false}}});
    await until(state => state.camera.kind === 'connected');
    const steps: string[] = [];
    const asks = new Set(['resting', 'preflight']);
    for (let pressed = 0; session.state().next.say !== 'attempt 2' && pressed < 12; pressed++) {
      const state = await until(({activity, next}) => asks.has(activity.kind) && next.say !== '');
      if (state.next.say === 'attempt 2') break;
      steps.push(`${state.next.place}: ${state.next.say}`);
      session.send({kind: 'go on'});
      await until(now => now.next.say !== state.next.say);
    }
    await until(({next}) => next.say === 'attempt 2');

    expect(steps).toEqual([
      'plan: agree to 8s f/8 ISO 100',
      'plates: focus on the mark and lock',
      'plates: take the dark plate',
      'plates: take the light A plate',
      'plates: take the light B plate',
      'plates: take the sitter plate',
      'plates: agree to the face',
      'attempt: attempt 1',
      'attempt: begin attempt 1',
    ]);
    expect(camera.exposures).toEqual([8, 8, 8, 8, 8]);
    expect(session.state().shoot.plates.map(({files}) => files[0]?.path)).toEqual([
      'plates/dark.jpg',
      'plates/light-A.jpg',
      'plates/light-B.jpg',
      'plates/sitter.jpg',
    ]);
    expect(session.state().next.say).toBe('attempt 2');
  });
});
