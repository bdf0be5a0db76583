/** The person's word to stop; the reason of the signals that carry it. */
export class StopAsked extends Error {
  override name = 'StopAsked';
  constructor(message = 'Stopped by hand.') {
    super(message);
  }
}

/** A signal that aborts with the first of these, and a way to abort it alone. */
export const eitherSignal = (...signals: AbortSignal[]): [AbortSignal, (reason: unknown) => void] => {
  const controller = new AbortController();
  for (const signal of signals) {
    if (signal.aborted) controller.abort(signal.reason);
    else {
      signal.addEventListener('abort', () => controller.abort(signal.reason), {once: true, signal: controller.signal});
    }
  }
  return [controller.signal, reason => controller.abort(reason)];
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
