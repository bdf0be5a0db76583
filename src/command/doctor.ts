export const doctor = async (options: {sound?: boolean; json?: boolean}): Promise<0 | 1> => {
  throw new Error(`not built yet ${JSON.stringify(options)}`);
};
