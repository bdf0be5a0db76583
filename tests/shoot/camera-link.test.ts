import {afterEach, describe, expect, it} from 'vitest';
import {type Camera, CameraFault} from '../../shared/camera.js';
import {keepCamera, type Link} from '../../src/shoot/camera-link.js';
import {type FakeCamera, fakeCamera, jumpingClock} from './fakes.js';

const links: Link[] = [];
afterEach(async () => {
  for (const link of links.splice(0)) await link.close();
});

type Watched = {
  link: Link;
  opened: FakeCamera[];
  tries(): number;
  said: string[];
  until(wanted: () => boolean): Promise<void>;
  busy: {now: boolean};
};

/** A link to a source that fails so often before it gives a camera. */
const watched = (failures: (Error | null)[] = [], times = {retryMs: [5, 10], lookMs: 15}): Watched => {
  const opened: FakeCamera[] = [];
  const said: string[] = [];
  const busy = {now: false};
  let tries = 0;
  const open = async (): Promise<Camera> => {
    tries += 1;
    const failure = failures.shift();
    if (failure) throw failure;
    const camera = fakeCamera({clock: jumpingClock()});
    opened.push(camera);
    return camera;
  };
  const link: Link = keepCamera(
    {open},
    {
      changed() {
        const state = link?.state();
        said.push(state?.kind === 'lost' ? state.say : 'connected');
      },
      connected: () => undefined,
    },
    () => busy.now,
    times,
  );
  links.push(link);
  const until = async (wanted: () => boolean): Promise<void> => {
    for (let waited = 0; !wanted(); waited += 2) {
      if (waited > 5000) throw new Error(`never came: ${wanted}; it said ${said.join(' / ')}`);
      await new Promise(resolve => setTimeout(resolve, 2));
    }
  };
  return {link, opened, tries: () => tries, said, until, busy};
};

const gone = new CameraFault('gone', 'The camera was unplugged; plug it in again.');

describe('the link to a camera', () => {
  it('looks until there is one, and says why there is none, once and without escape sequences', async () => {
    const {link, tries, said, until} = watched([
      new Error('No camera\u001b[2J.'),
      new Error('No camera\u001b[2J.'),
      null,
    ]);
    await until(() => link.state().kind === 'connected');
    expect(tries()).toBe(3);
    expect(said.filter(text => text !== 'connected')).toEqual(['No camera [2J.']);
  });

  it('follows the dials of the body', async () => {
    const {link, opened, until} = watched();
    await until(() => link.camera() !== null);
    opened[0]!.change({batteryPercent: 11});
    expect(link.state()).toMatchObject({kind: 'connected', status: {batteryPercent: 11}});
  });

  it('notices by itself that an idle camera is gone, lets go of it and finds it again', async () => {
    const {link, opened, until} = watched();
    await until(() => link.camera() !== null);
    opened[0]!.failNext('status', gone);
    await until(() => opened.length === 2 && link.camera() === opened[1]);
    expect(opened[0]!.closed()).toBe(true);
  });

  it('does not ask a camera that is busy with an exposure', async () => {
    const {link, opened, until, busy} = watched();
    await until(() => link.camera() !== null);
    busy.now = true;
    opened[0]!.failNext('status', gone);
    await new Promise(resolve => setTimeout(resolve, 80));
    expect(link.camera()).toBe(opened[0]);
    busy.now = false;
    await until(() => opened.length === 2);
  });

  it.each(['gone', 'asleep'] as const)(
    'starts over when it is told that the camera is %s, and not for other faults',
    async reason => {
      const {link, opened, until} = watched();
      await until(() => link.camera() !== null);
      link.report(new CameraFault('refused', 'No ISO 51.'));
      link.report(new Error('something else'));
      expect(link.camera()).toBe(opened[0]);
      link.report(new CameraFault(reason, 'It does not answer.'));
      expect(link.state()).toMatchObject({
        kind: 'lost',
        say: 'It does not answer.',
        identity: {model: 'stand-in camera'},
      });
      await until(() => opened.length === 2);
    },
  );

  it('is not misled by an answer of a camera that it has let go of', async () => {
    const {link, opened, until} = watched([], {retryMs: [5], lookMs: 10_000});
    await until(() => link.camera() !== null);
    let answer = (_: Error): void => undefined;
    opened[0]!.status = () =>
      new Promise((_, reject) => {
        answer = reject;
      });
    const asking = link.refresh();
    link.report(gone);
    await until(() => opened.length === 2 && link.camera() === opened[1]);
    answer(gone);
    await asking;
    expect(link.camera()).toBe(opened[1]);
  });

  it('looks at once when asked to, instead of waiting', async () => {
    const {link, opened, until, tries} = watched([new Error('none'), null], {retryMs: [60_000], lookMs: 60_000});
    await until(() => tries() === 1 && link.state().kind === 'lost');
    await new Promise(resolve => setTimeout(resolve, 10));
    link.lookNow();
    await until(() => opened.length === 1);
  });

  it('lets go of the camera when it is closed, and opens none after that', async () => {
    const {link, opened, until, tries} = watched();
    await until(() => link.camera() !== null);
    await link.close();
    expect(opened[0]!.closed()).toBe(true);
    const before = tries();
    await new Promise(resolve => setTimeout(resolve, 40));
    expect(tries()).toBe(before);
  });
});
