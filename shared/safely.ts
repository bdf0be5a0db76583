import type {z} from 'zod';

/**
 * A schema's answer on a value that somebody may have made to do harm. zod looks at the length of what should be a text or
 * a list before it has refused it for being neither, and a length that is no number then throws.
 * @returns the parsed value; or no success, with no issues told where the schema itself gave up
 */
export const safely = <Output>(
  schema: z.ZodType<Output>,
  value: unknown,
): {success: true; data: Output} | {success: false; error: z.ZodError<Output> | null} => {
  try {
    return schema.safeParse(value);
  } catch {
    return {success: false, error: null};
  }
};
