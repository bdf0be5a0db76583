/** A monotonic clock that can be waited on. Milliseconds. A sped-up one serves the simulated room and tests. */
export type Clock = {
  now(): number;
  /** Resolves at (never before) this moment of `now`, or rejects with the signal's reason when aborted. */
  until(ms: number, signal?: AbortSignal): Promise<void>;
};
