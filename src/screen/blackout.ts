import type {Session, SessionState} from '../shoot/state.js';

/** The screen goes black this long before the shutter opens, so that no frame is still on its way to it then. */
const BEFORE_OPENING_MS = 500;

/** Whether a shutter is open or may be: also that of a probe, which would see a bright screen as a leak. */
const mayBeOpen = ({activity}: SessionState): boolean => {
  if (activity.kind === 'open') return true;
  if (activity.kind === 'room check') return activity.say === null;
  return activity.kind === 'measuring' && activity.subject.kind === 'probe';
};

const opensAt = (state: SessionState): number | null =>
  state.activity.kind === 'countdown' ? state.activity.opensAtMs : null;

/**
 * Keeps the screen black from just before an opening until the shutter is closed. It listens to the session itself
 * and waits for no other part of the screens.
 * @param black switches the black screen
 * @returns ends it
 */
export const watchShutter = (session: Session, black: (on: boolean) => void): (() => void) => {
  let timer: NodeJS.Timeout | null = null;
  const look = (): void => {
    const state = session.state();
    if (timer) clearTimeout(timer);
    timer = null;
    if (mayBeOpen(state)) {
      black(true);
      return;
    }
    const opensAtMs = opensAt(state);
    if (opensAtMs === null) {
      black(false);
      return;
    }
    const leftMs = opensAtMs - BEFORE_OPENING_MS - session.now();
    black(leftMs <= 0);
    if (leftMs > 0) timer = setTimeout(look, leftMs / Math.max(state.speed, 0.01));
  };
  const unsubscribe = session.subscribe(look);
  look();
  return () => {
    unsubscribe();
    if (timer) clearTimeout(timer);
  };
};
