const heights = '▁▂▃▄▅▆▇█';

/**
 * A row of small bars, one a value; a gap where there is none.
 * @param from value of the lowest bar; the smallest one by default
 * @param to value of the highest bar
 */
export const spark = (values: readonly (number | null)[], from?: number, to?: number): string => {
  const known = values.filter(value => value !== null);
  const least = from ?? Math.min(...known);
  const most = to ?? Math.max(...known);
  return values
    .map(value => {
      if (value === null || !Number.isFinite(value)) return ' ';
      const part = most > least ? (value - least) / (most - least) : 0.5;
      return heights[Math.max(0, Math.min(7, Math.round(part * 7)))]!;
    })
    .join('');
};
