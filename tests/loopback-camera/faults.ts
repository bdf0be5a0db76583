/** What can go wrong on the way to a camera. */
export type Fault =
  /** Ends the connection after so many bytes of the answer. */
  | {kind: 'end'; afterBytes: number}
  /** Resets it. */
  | {kind: 'reset'; afterBytes: number}
  /** Falls silent, with the connection open. */
  | {kind: 'stall'; afterBytes: number}
  /** Sends the data, but never the closing response. */
  | {kind: 'no response'}
  /** Answers later. */
  | {kind: 'late'; ms: number}
  /** Answers with this response code and does nothing. */
  | {kind: 'refuse'; code: number}
  /** Answers that all is well and does nothing. */
  | {kind: 'pretend'}
  /** Sends these bytes instead of an answer. */
  | {kind: 'garbage'; bytes: Buffer}
  /** Sends the proper answer, but changed. */
  | {kind: 'mangle'; mangle(bytes: Buffer): Buffer};

/** When: at an operation (its code), or while the two connections are made. */
export type Moment = number | 'command handshake' | 'event handshake';

/** Faults wait here until their moment comes. */
export const createFaults = () => {
  const waiting: {at: Moment; fault: Fault; times: number}[] = [];
  return {
    /** Lets a fault happen the next so many times. */
    inject(at: Moment, fault: Fault, times = 1): void {
      waiting.push({at, fault, times});
    },
    clear(): void {
      waiting.length = 0;
    },
    /** How many still wait for their moment. */
    waiting: (): number => waiting.length,
    take(at: Moment): Fault | null {
      const index = waiting.findIndex(one => one.at === at);
      if (index < 0) return null;
      const found = waiting[index]!;
      found.times -= 1;
      if (found.times <= 0) waiting.splice(index, 1);
      return found.fault;
    },
  };
};

export type Faults = ReturnType<typeof createFaults>;
