import type {Advice, Check} from '../../shared/reading.js';

const fractions: Record<string, string> = {
  '1/2': 'one half',
  '1/4': 'one quarter',
  '1/8': 'one eighth',
  '1/16': 'one sixteenth',
  '1/32': 'one thirty-second',
  '1/64': 'one sixty-fourth',
  '1/128': 'one over one hundred and twenty-eight',
};

/** Makes a sentence of the screen fit for a voice: signs and units in words. */
const forVoice = (text: string): string =>
  text
    .replace(/1\/(?:2|4|8|16|32|64|128)\b/g, fraction => fractions[fraction] ?? fraction)
    .replace(/ \+ ⅓/g, ' plus a third')
    .replace(/ \+ ⅔/g, ' plus two thirds')
    .replace(/→/g, 'to')
    .replace(/\u2212(?=[\d∞])/g, 'minus ')
    .replace(/\+(?=\d)/g, 'plus ')
    .replace(/±/g, 'plus or minus ')
    .replace(/(\d) EV\b/g, '$1 stops')
    .replace(/(\d)°/g, '$1 degrees')
    .replace(/(\d) %/g, '$1 percent')
    .replace(/(\d) cm\b/g, '$1 centimetres')
    .replace(/(\d) m\b/g, '$1 metres');

/** What is heard of a check: its name, and no numbers. */
const names: Record<string, string> = {
  'face level': 'the light on the face',
  'face clipped': 'clipped highlights on the face',
  'face ratio': 'the balance of the face',
  'face clear': 'the trail crosses the face',
  'head gap': 'the gap over the head',
  coverage: 'the coverage',
  offset: 'the trail is off centre',
  'trail clipped': 'the trail is too bright',
  'trail even': 'the trail is uneven',
  room: 'the room is too bright',
  sharpness: 'the face is soft',
  shift: 'the head is off the mark',
  doubled: 'the head stands twice',
};

const nameOf = (check: Check): string => {
  const light = /^(flash|spill) ([A-Z])$/.exec(check.id);
  if (light?.[1] === 'flash')
    return check.value === null ? `light ${light[2]} ${check.say}` : `the strength of light ${light[2]}`;
  if (light) return `light ${light[2]} spills on the wall`;
  return names[check.id] ?? check.id;
};

const sentence = (text: string): string => `${text.charAt(0).toUpperCase()}${text.slice(1)}.`;

/**
 * The verdict as one or two short sentences for a voice, heard from the mark: the worst matter, and the first advice.
 */
export const spokenVerdict = (checks: readonly Check[], advice: readonly Advice[]): string => {
  if (checks.length === 0) return 'The frame is here. Nothing could be checked.';
  const failed = checks.filter(check => check.state === 'fail');
  const watched = checks.filter(check => check.state === 'watch');
  const next = advice[0] ? ` ${sentence(forVoice(advice[0].do))}` : '';
  if (failed.length === 0 && watched.length === 0) return 'All well.';
  if (failed.length === 0)
    return `Good. Watch ${watched.length === 1 ? nameOf(watched[0]!) : `${watched.length} things`}.${next}`;
  const more = failed.length === 1 ? '' : ` and ${failed.length - 1} more`;
  return `${sentence(nameOf(failed[0]!)).slice(0, -1)}${more}.${next}`;
};
