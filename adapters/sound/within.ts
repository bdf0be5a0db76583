/** The promise's value, or another one when it takes too long. The promise itself goes on. */
export const within = async <Value, Other>(
  promise: Promise<Value>,
  patienceMs: number,
  otherwise: Other,
): Promise<Value | Other> => {
  let timer: NodeJS.Timeout | undefined;
  const tooLong = new Promise<Other>(resolve => {
    timer = setTimeout(() => resolve(otherwise), patienceMs);
  });
  try {
    return await Promise.race([promise, tooLong]);
  } finally {
    clearTimeout(timer);
  }
};
