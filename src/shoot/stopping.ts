/** The person's word to stop; the reason of the signals that carry it. */
export class StopAsked extends Error {
  override name = 'StopAsked';
  constructor(message = 'Stopped by hand.') {
    super(message);
  }
}

/** A signal that aborts with others, or alone. */
export type JoinedSignal = {
  signal: AbortSignal;
  abort(reason: unknown): void;
  /** Lets go of the others; they may live much longer. */
  release(): void;
};

/** Joins signals: aborts with the first of them, and with its reason. */
export const joinSignals = (...signals: AbortSignal[]): JoinedSignal => {
  const controller = new AbortController();
  const listening = new AbortController();
  for (const signal of signals) {
    const follow = (): void => controller.abort(signal.reason);
    if (signal.aborted) follow();
    else signal.addEventListener('abort', follow, {once: true, signal: listening.signal});
  }
  return {
    signal: controller.signal,
    abort: reason => controller.abort(reason),
    release: () => listening.abort(),
  };
};

/** The promise's result, or the signal's reason as soon as it aborts; the work itself then goes on unheard. */
export const untilAborted = <Result>(work: Promise<Result>, signal: AbortSignal): Promise<Result> =>
  new Promise<Result>((resolve, reject) => {
    const stop = (): void => reject(signal.reason);
    if (signal.aborted) {
      work.catch(() => undefined);
      stop();
      return;
    }
    signal.addEventListener('abort', stop, {once: true});
    work.then(resolve, reject).finally(() => signal.removeEventListener('abort', stop));
  });

/** Waits for work that should end soon, but not for ever: true when it ended in time, well or not. */
export const within = async (milliseconds: number, work: Promise<unknown>): Promise<boolean> => {
  let timer: NodeJS.Timeout | undefined;
  const late = new Promise<boolean>(resolve => {
    timer = setTimeout(() => resolve(false), milliseconds);
  });
  const inTime = await Promise.race([
    work.then(
      () => true,
      () => true,
    ),
    late,
  ]);
  clearTimeout(timer);
  return inTime;
};
