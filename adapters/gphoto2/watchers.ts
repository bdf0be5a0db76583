import type {CameraFault, CameraStatus} from '../../shared/camera.js';

const SOON_MS = 150;
/** How long to wait before looking for a lost camera again, by how often that was in vain, milliseconds. */
const AGAIN_MS = [500, 1000, 2000, 4000, 5000];

export type WatcherOptions = {
  everyMs: number;
  isBusy(): boolean;
  isConnected(): boolean;
  /** Reads the status, connecting where that is needed. */
  look(): Promise<CameraStatus>;
};

/** Looks at the camera now and then: so that its own dials are noticed, and so that a lost one is found again. */
export const createWatchers = (options: WatcherOptions) => {
  const listeners = new Map<(status: CameraStatus) => void, ((fault: CameraFault) => void) | undefined>();
  let timer: NodeJS.Timeout | null = null;
  let ended = false;
  let looking = false;
  let inVain = 0;
  let told = '';

  const tell = (status: CameraStatus): CameraStatus => {
    const now = JSON.stringify(status);
    if (now === told) return status;
    told = now;
    for (const listener of [...listeners.keys()]) listener(status);
    return status;
  };

  const plan = (ms: number): void => {
    if (ended) return;
    if (timer !== null) clearTimeout(timer);
    timer = setTimeout(() => void look(), ms);
  };

  const look = async (): Promise<void> => {
    if (looking) return;
    if (options.isBusy()) {
      plan(options.everyMs);
      return;
    }
    looking = true;
    try {
      const status = await options.look();
      inVain = 0;
      if (!ended) tell(status);
    } catch {
      inVain += 1;
    } finally {
      looking = false;
      plan(options.isConnected() ? options.everyMs : (AGAIN_MS[inVain] ?? AGAIN_MS.at(-1)!));
    }
  };

  return {
    add(listener: (status: CameraStatus) => void, onFault?: (fault: CameraFault) => void): () => void {
      listeners.set(listener, onFault);
      return () => {
        listeners.delete(listener);
      };
    },
    tell,
    /** Contact is lost: says so, and begins to look for the camera again. */
    tellFault(fault: CameraFault): void {
      told = '';
      inVain = 0;
      for (const onFault of [...listeners.values()]) onFault?.(fault);
      plan(AGAIN_MS[0]!);
    },
    lookSoon: (): void => plan(SOON_MS),
    begin: (): void => plan(options.everyMs),
    end(): void {
      ended = true;
      if (timer !== null) clearTimeout(timer);
      listeners.clear();
    },
  };
};
