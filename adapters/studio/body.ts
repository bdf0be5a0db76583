import {
  type Camera,
  CameraFault,
  type CameraIdentity,
  type CameraStatus,
  type FrameOnCamera,
} from '../../shared/camera.js';
import type {Clock} from '../../shared/clock.js';
import type {Exposure} from '../../shared/exposure.js';
import {pullFile} from '../pull-file.js';
import type {Card} from './card.js';
import {turned} from './dials.js';

/** What one exposure is set to when its shutter opens, for whoever renders its frame. */
export type Taken = {
  exposure: Exposure;
  plannedSeconds: number;
  focusMetres: number;
  takenAt: Date;
};

export type BodySettings = {
  identity: CameraIdentity;
  clock: Clock;
  card: Card;
  /** Wall-clock time for the pictures. */
  wallTime: () => Date;
  /** Where the lens focuses when it finds the sitter, metres. */
  subjectMetres: () => number;
  /**
   * Called when the shutter opens; gives what renders the frame for the seconds that it was open. That may be called
   * twice: for the whole time at once, so that the frame can be ready when the shutter closes, and for a shorter one.
   */
  begin: (taken: Taken) => (openSeconds: number) => Promise<Uint8Array>;
  /** Where the lens ends up when it hunts in the dark: metres. */
  huntedMetres: () => number;
  /** Frames that still fit on the card at the start. */
  cardFrames: number;
  onClose: () => Promise<void>;
};

/** The hands on the camera's body: what a person does there while the program is connected. */
export type Hands = {
  /** Turns a dial on the body. */
  turn(change: Partial<Exposure>): void;
  /** Presses the release by hand; the frame becomes a stray. */
  press(seconds: number): Promise<void>;
  setBattery(percent: number): void;
  setFreeFrames(frames: number): void;
  focusMode(mode: 'manual' | 'auto'): void;
  /** Pulls the cable out and puts it back. */
  unplug(): void;
  plug(): void;
};

const BYTES_A_FRAME = 9e6;

/** The studio camera: its dials, card, battery and release. What light does is somebody else's. */
export const bodyOf = (settings: BodySettings): {camera: Camera; hands: Hands} => {
  const {clock, card} = settings;
  let exposure: Exposure = {shutterSeconds: 8, fNumber: 8, iso: 100};
  let focusMode: 'manual' | 'auto' = 'auto';
  let focusMetres = 1.6;
  let battery = 92;
  let freeFrames = settings.cardFrames;
  let reachable = true;
  let closed = false;
  let exposing = false;
  const closing = new AbortController();
  const listeners = new Set<(status: CameraStatus) => void>();
  const handedOver = new Set<string>();

  const status = (): CameraStatus => ({
    exposure: {...exposure},
    focusMode,
    focusLocked: focusMode === 'manual',
    format: 'jpeg',
    batteryPercent: Math.round(battery),
    freeBytes: freeFrames * BYTES_A_FRAME,
    freeFrames,
    clockDifferenceSeconds: 0,
    can: {setExposure: true, openShutter: true, focusDrive: true, probe: true},
    notes: ['This camera and its room are simulated.'],
  });
  const tell = (): CameraStatus => {
    const now = status();
    for (const listener of [...listeners]) listener(now);
    return now;
  };
  const check = (): void => {
    if (closed) throw new CameraFault('gone', 'The studio camera was let go of; connect to it again.');
    if (!reachable) throw new CameraFault('gone', 'The studio camera is not connected; put its cable back.');
  };
  const checkFree = (): void => {
    check();
    if (exposing) throw new CameraFault('busy', 'The studio camera is exposing; wait until the shutter is closed.');
  };

  /** Holds the shutter open; tells how long it was, in seconds. */
  const hold = async (seconds: number, signal: AbortSignal): Promise<number> => {
    const opened = clock.now();
    try {
      await clock.until(opened + seconds * 1000, signal);
      return seconds;
    } catch (error) {
      if (!signal.aborted) throw error;
      return Math.min(seconds, Math.max(0.001, (clock.now() - opened) / 1000));
    }
  };

  const shoot = async (
    seconds: number,
    signal: AbortSignal,
    onOpen: () => void,
    onClose: () => void,
  ): Promise<FrameOnCamera> => {
    if (freeFrames <= 0) throw new CameraFault('full', 'The card in the studio camera is full; put in an empty one.');
    exposing = true;
    try {
      if (focusMode === 'auto') focusMetres = settings.huntedMetres();
      const taken = {exposure: {...exposure}, plannedSeconds: seconds, focusMetres, takenAt: settings.wallTime()};
      onOpen();
      const render = settings.begin(taken);
      const whole = render(seconds);
      whole.catch(() => undefined);
      const openSeconds = await hold(seconds, AbortSignal.any([signal, closing.signal]));
      if (closed) check();
      onClose();
      const jpeg = openSeconds === seconds ? await whole : await render(openSeconds);
      const frame = await card.store(jpeg);
      freeFrames -= 1;
      battery = Math.max(1, battery - 0.1);
      return frame;
    } finally {
      exposing = false;
      if (!closed) tell();
    }
  };

  const camera: Camera = {
    identity: settings.identity,
    status: async () => {
      check();
      return status();
    },
    watch: listener => {
      listeners.add(listener);
      return () => listeners.delete(listener);
    },
    set: async change => {
      checkFree();
      exposure = turned(exposure, change);
      return tell();
    },
    focus: async step => {
      checkFree();
      if (step === 'drive') {
        focusMetres = settings.subjectMetres();
        focusMode = 'auto';
      } else {
        focusMode = 'manual';
      }
      return tell();
    },
    expose: async ({seconds, signal, onOpen, onClose}) => {
      checkFree();
      if (!(seconds > 0)) throw new CameraFault('refused', 'An exposure must take longer than no time at all.');
      if (signal.aborted) return [];
      const frame = await shoot(seconds, signal, onOpen, onClose);
      if (!reachable || closed) check();
      handedOver.add(frame.name);
      return [frame];
    },
    pull: async (frame, path, progress, signal) => {
      check();
      const {path: from} = await card.pathOf(frame);
      await pullFile(from, path, frame.name, progress, signal);
    },
    strays: async sinceMs => {
      check();
      return (await card.frames(sinceMs)).filter(frame => !handedOver.has(frame.name));
    },
    close: async () => {
      if (closed) return;
      closed = true;
      closing.abort();
      listeners.clear();
      await settings.onClose();
    },
  };

  const hands: Hands = {
    turn: change => {
      exposure = turned(exposure, change);
      tell();
    },
    press: async seconds => {
      const nothing = (): void => undefined;
      await shoot(seconds, new AbortController().signal, nothing, nothing);
    },
    setBattery: percent => {
      battery = percent;
      tell();
    },
    setFreeFrames: frames => {
      freeFrames = frames;
      tell();
    },
    focusMode: mode => {
      focusMode = mode;
      tell();
    },
    unplug: () => {
      reachable = false;
    },
    plug: () => {
      reachable = true;
      tell();
    },
  };
  return {camera, hands};
};
