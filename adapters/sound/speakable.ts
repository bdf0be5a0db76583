/** Longest text that is spoken at once: about half a minute. */
const LONGEST = 300;

/** Signs and short forms as they are said, in the order in which they are replaced. */
const spokenForms: [RegExp, string][] = [
  [/[−–](?=\d)/gu, ' minus '],
  [/(^|[\s(])[+](?=\d)/gu, '$1plus '],
  [/[→]/gu, ' to '],
  [/[×]/gu, ' times '],
  [/½/gu, ' a half'],
  [/(\d)\s*%/gu, '$1 percent'],
  [/(\d)\s*°/gu, '$1 degrees'],
  [/\bEV\b/gu, 'E V'],
  [/\bISO\b/gu, 'I S O'],
  [/\bRAW\b/gu, 'raw'],
  [/\bf\/(?=\d)/giu, 'F '],
  [/(\d)\s?m\b/gu, '$1 metres'],
  [/(\d)\s?cm\b/gu, '$1 centimetres'],
  [/(\d)\s?s\b/gu, '$1 seconds'],
  [/\b1\/(\d+)\b/gu, 'one over $1'],
];

/**
 * Text as it goes to the speech program: signs in words, and nothing that a synthesiser or a terminal could take for a
 * command (control characters, bidi marks, lone surrogates, markup and brackets: `[[…]]` switches modes in several).
 * @returns at most 300 characters; '' when nothing sayable is left
 */
export const speakable = (text: string): string => {
  const plain = text
    .slice(0, LONGEST * 4)
    .toWellFormed()
    .replace(/[\p{Cc}\p{Zl}\p{Zp}]/gu, ' ')
    .replace(/[\p{Cf}\p{Co}\p{Cn}\uFFFD]/gu, '');
  const words = spokenForms.reduce((said, [sign, form]) => said.replace(sign, form), plain);
  return words
    .replace(/[^\p{L}\p{M}\p{N}\s.,;:!?'’/-]/gu, ' ')
    .replace(/(^|\s)-+/gu, '$1')
    .replace(/\s+/gu, ' ')
    .trim()
    .slice(0, LONGEST)
    .toWellFormed()
    .replace(/\uFFFD/gu, '');
};
