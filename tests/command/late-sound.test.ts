import {describe, expect, it, vi} from 'vitest';
import {usualCueSheet} from '../../shared/cues.js';
import type {Sound} from '../../shared/sound.js';
import {lateSound} from '../../src/command/late-sound.js';

const someSound = () => {
  const stream = {start: () => ({startedAtMs: 0, stop: () => undefined})};
  return {
    state: () => ({output: 'device', speech: true, say: 'A device plays.'}) as const,
    prepare: vi.fn(async () => stream),
    say: vi.fn(async () => undefined),
    close: vi.fn(async () => undefined),
  } satisfies Sound;
};

describe('a sound that is opened late', () => {
  it('is opened when it is time, and then does what was asked before', async () => {
    let now = (): void => undefined;
    const own = someSound();
    const sound = lateSound(new Promise(resolve => (now = resolve)), async () => own);
    expect(sound.state().output).toBe('bell');
    const said = sound.say('Room dark.');
    const prepared = sound.prepare(usualCueSheet(8));
    expect(own.say).not.toHaveBeenCalled();
    now();
    await Promise.all([said, prepared]);
    expect(own.say).toHaveBeenCalledWith('Room dark.');
    expect(sound.state()).toEqual(own.state());
    await sound.close();
    expect(own.close).toHaveBeenCalledOnce();
  });

  it('is not opened any more once it was closed', async () => {
    let now = (): void => undefined;
    const open = vi.fn(async () => someSound());
    const sound = lateSound(new Promise(resolve => (now = resolve)), open);
    await sound.close();
    now();
    await expect(sound.say('Too late.')).rejects.toThrow('closed');
    expect(open).not.toHaveBeenCalled();
  });
});
