import type {Desk} from './desk.js';
import {attempts, ensureExposure, preflightNow, type SeriesOrder} from './jobs.js';
import {isReady} from './preflight.js';
import type {Job} from './workbench.js';

/** The time between "attempt" and its countdown: the list is on the screen and follows what changes. */
export type Preflighting = {
  /** Shows the list for this order. */
  begin(order: SeriesOrder): Promise<void>;
  /** Reads everything once more. */
  look(): Promise<void>;
  /** The person has said that all of it is so: starts the attempt or series, or says what isn't. */
  agree(): Promise<void>;
  /** Puts the list away. */
  end(): void;
  /** Forgets what it was for, as a job begins and will show itself. */
  forget(): void;
};

export const preflighting = (desk: Desk, start: (job: Job) => void): Preflighting => {
  let order: SeriesOrder | null = null;

  const look = async (): Promise<void> => {
    const items = await preflightNow(desk, false);
    // It may have been put away, or an attempt begun, while the disk was asked.
    if (!order || !['resting', 'preflight'].includes(desk.state().activity.kind)) return;
    desk.show({kind: 'preflight', items, ready: isReady(items), series: order.series});
  };

  return {
    async begin(wanted) {
      if (!['resting', 'preflight'].includes(desk.state().activity.kind)) {
        desk.say('Something else is running; stop it first.', true);
        return;
      }
      order = wanted;
      await ensureExposure(desk).catch(desk.complain);
      await look();
    },
    look,
    async agree() {
      const wanted = order;
      if (!wanted) return;
      const items = await preflightNow(desk, true);
      const bad = items.find(({state}) => state === 'fail');
      if (bad) {
        desk.say(`Not ready: ${bad.say}${bad.fix ? ` ${bad.fix}` : ''}`, true);
        await look();
        return;
      }
      start(attempts(desk, wanted));
    },
    forget() {
      order = null;
    },
    end() {
      order = null;
      if (desk.state().activity.kind === 'preflight') desk.show({kind: 'resting'});
    },
  };
};
