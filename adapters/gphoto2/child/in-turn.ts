/** Runs pieces of work one after another: the library takes one call at a time for a camera. */
export const createTurns = () => {
  let last: Promise<unknown> = Promise.resolve();
  let waiting = 0;
  return {
    /** How many pieces of work wait or run. */
    busy: (): number => waiting,
    take: <Result>(work: () => Promise<Result>): Promise<Result> => {
      waiting += 1;
      const mine = last.then(work).finally(() => {
        waiting -= 1;
      });
      last = mine.catch(() => undefined);
      return mine;
    },
  };
};
