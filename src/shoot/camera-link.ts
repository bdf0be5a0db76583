import {setTimeout as pause} from 'node:timers/promises';
import {type Camera, CameraFault, type CameraStatus} from '../../shared/camera.js';
import {plainText} from '../../shared/plain-text.js';
import type {CameraLink} from './state.js';

/** Where cameras come from: what is connected, or the simulated one. */
export type CameraSource = {
  /** @throws CameraFault, or any error, when there is none to be had */
  open(): Promise<Camera>;
};

export type LinkTimes = {
  /** Pauses between tries to find a camera, real milliseconds; the last one repeats. */
  retryMs: number[];
  /** How often an idle camera is asked whether it is still there, real milliseconds. */
  lookMs: number;
};
export const usualLinkTimes: LinkTimes = {retryMs: [500, 1000, 2000, 4000, 8000], lookMs: 3000};

export type Link = {
  state(): CameraLink;
  /** The connected camera, or null. */
  camera(): Camera | null;
  /** Tells the link of a fault: a camera that is gone is looked for again. */
  report(error: unknown): void;
  /** Looks again at once instead of waiting for the next try. */
  lookNow(): void;
  /** Asks the camera for its status now. */
  refresh(): Promise<void>;
  close(): Promise<void>;
};

/**
 * Keeps a camera connected for as long as the shoot is open: looks for one with growing pauses, follows its status, and
 * starts over when it is lost.
 * @param isBusy while true the camera is not asked whether it is there: an exposure would be disturbed
 */
export const keepCamera = (
  source: CameraSource,
  on: {changed(): void; connected(camera: Camera): void},
  isBusy: () => boolean,
  times: LinkTimes = usualLinkTimes,
): Link => {
  const closing = new AbortController();
  let link: CameraLink = {kind: 'lost', identity: null, say: 'Looking for the camera.'};
  let camera: Camera | null = null;
  let unwatch = (): void => undefined;
  let wake = new AbortController();

  const set = (next: CameraLink): void => {
    link = next;
    on.changed();
  };
  const connectedTo = (found: Camera, status: CameraStatus): void =>
    set({kind: 'connected', identity: found.identity, status});

  const drop = (say: string): void => {
    if (!camera) return;
    const lost = camera;
    camera = null;
    unwatch();
    set({kind: 'lost', identity: lost.identity, say});
    lost.close().catch(() => undefined);
    wake.abort();
  };

  const connect = async (): Promise<void> => {
    const found = await source.open();
    try {
      const status = await found.status();
      if (closing.signal.aborted) throw new CameraFault('gone', 'The shoot was closed.');
      camera = found;
      unwatch = found.watch(changed => {
        if (camera === found) connectedTo(found, changed);
      });
      connectedTo(found, status);
    } catch (error) {
      await found.close().catch(() => undefined);
      throw error;
    }
    on.connected(found);
  };

  const refresh = async (): Promise<void> => {
    const asked = camera;
    if (!asked) return;
    try {
      const status = await asked.status();
      if (camera === asked) connectedTo(asked, status);
    } catch (error) {
      // A camera that was let go of meanwhile says nothing about the one that came after it.
      if (camera === asked) report(error);
    }
  };

  const report = (error: unknown): void => {
    if (error instanceof CameraFault && ['gone', 'asleep'].includes(error.reason)) drop(error.message);
  };

  const rest = async (milliseconds: number): Promise<void> => {
    wake = new AbortController();
    await pause(milliseconds, undefined, {signal: wake.signal, ref: false}).catch(() => undefined);
  };

  const run = async (): Promise<void> => {
    for (let tries = 0; !closing.signal.aborted; ) {
      if (camera) {
        tries = 0;
        await rest(times.lookMs);
        if (!isBusy()) await refresh();
        continue;
      }
      try {
        await connect();
      } catch (error) {
        const say = error instanceof Error ? plainText(error.message) : 'No camera was found.';
        if (link.kind === 'connected' || link.say !== say) set({kind: 'lost', identity: link.identity, say});
        await rest(times.retryMs[Math.min(tries, times.retryMs.length - 1)]!);
        tries += 1;
      }
    }
  };
  const running = run();

  return {
    state: () => link,
    camera: () => camera,
    report,
    lookNow: () => wake.abort(),
    refresh,
    async close() {
      closing.abort();
      wake.abort();
      const open = camera;
      camera = null;
      unwatch();
      await open?.close().catch(() => undefined);
      await running;
    },
  };
};
