/** Control characters (with them every escape sequence), line separators and direction overrides. */
const unprintable = /[\u0000-\u001f\u007f-\u009f\u061c\u200e\u200f\u2028\u2029\u202a-\u202e\u2066-\u2069\ufeff]+/g;

/**
 * Makes text from a camera, a file or a person fit for one line of a terminal or a page: every run of characters that
 * could move the cursor, change colours or turn the direction of writing becomes one space. Spaces stay as they are.
 */
export const plainText = (text: string): string => text.replace(unprintable, ' ').toWellFormed();
