import type {Advice, Check} from '../../shared/reading.js';

const fractions: Record<string, string> = {
  '2': 'one half',
  '4': 'one quarter',
  '8': 'one eighth',
  '16': 'one sixteenth',
  '32': 'one thirty-second',
  '64': 'one sixty-fourth',
};

/** Makes a sentence of the screen fit for a voice: signs and units in words. */
const forVoice = (text: string): string =>
  text
    .replace(/\b1\/1\b/g, 'full power')
    .replace(/\b1\/(\d+)/g, (_, part: string) => fractions[part] ?? `one over ${part}`)
    .replace(/ \+0\.3\b/g, ' plus a third')
    .replace(/ \+0\.7\b/g, ' plus two thirds')
    .replace(/(\d)?⅓/g, (_, whole?: string) => (whole ? `${whole} and a third` : 'a third'))
    .replace(/(\d)?⅔/g, (_, whole?: string) => (whole ? `${whole} and two thirds` : 'two thirds'))
    .replace(/→/g, 'to')
    .replace(/\u2212(?=[\d∞])/g, 'minus ')
    .replace(/\+(?=\d)/g, 'plus ')
    .replace(/±/g, 'plus or minus ')
    .replace(/(\d) EV\b/g, '$1 stops')
    .replace(/(\d)°/g, '$1 degrees')
    .replace(/(\d) %/g, '$1 percent')
    .replace(/(\d) cm\b/g, '$1 centimetres')
    .replace(/(\d) m\b/g, '$1 metres')
    .replace(/(\d) s\b/g, '$1 seconds');

/** Whether a check that has a limit on both sides is troubled at its upper one. */
const tooHigh = ({value, limit, state}: Check): boolean =>
  value !== null && limit !== null && (state === 'fail') === value > limit;

/** What is heard of a check that isn't ok: the matter in a few words, no numbers. */
const matters: Record<string, (check: Check) => string> = {
  'face level': check => `the face is too ${tooHigh(check) ? 'bright' : 'dark'}`,
  'face clipped': () => 'the face is burnt out',
  'face ratio': () => 'the halves of the face differ too much',
  'face clear': () => 'the trail crosses the face',
  'head gap': check =>
    check.value === null
      ? 'there is no trail over the head'
      : `the trail is too ${tooHigh(check) ? 'high over' : 'near'} the head`,
  coverage: check => (check.value === 0 ? 'there is no trail' : 'the trail does not reach round the head'),
  offset: () => 'the trail is off centre',
  'trail clipped': () => 'the trail is too bright',
  'trail even': () => 'the trail is uneven',
  room: () => 'the room is too bright',
  sharpness: () => 'the face is soft',
  shift: () => 'the head is off the mark',
  doubled: () => 'the head stands twice',
};

const flashMatter = (check: Check, light: string): string => {
  if (check.value === null) return `light ${light} ${check.say}`;
  return `light ${light} is too ${/too weak/.test(check.say) ? 'weak' : 'strong'}`;
};

const matterOf = (check: Check): string => {
  const [kind, light = ''] = check.id.split(' ');
  if (kind === 'spill') return `light ${light} spills on the wall`;
  if (kind === 'flash') return flashMatter(check, light);
  return matters[check.id]?.(check) ?? check.id;
};

/** What is said first of several matters: as in the order of advice, what spoils most. */
const urgency = [
  /^flash /,
  /^room$/,
  /^face clear$/,
  /^doubled$/,
  /^spill /,
  /^face clipped$/,
  /^coverage$/,
  /^head gap$/,
  /^face level$/,
  /^offset$/,
  /^(shift|sharpness)$/,
];

const rankOf = (check: Check): number => {
  const rank = urgency.findIndex(words => words.test(check.id));
  return rank === -1 ? urgency.length : rank;
};

const sentence = (text: string): string => `${text.charAt(0).toUpperCase()}${text.slice(1)}.`;

/**
 * The verdict as one or two short sentences for a voice, heard from the mark: the worst matter, and the first advice.
 */
export const spokenVerdict = (checks: readonly Check[], advice: readonly Advice[]): string => {
  if (checks.length === 0) return 'The frame is here. Nothing could be checked.';
  const failed = checks.filter(check => check.state === 'fail').toSorted((a, b) => rankOf(a) - rankOf(b));
  const watched = checks.filter(check => check.state === 'watch');
  const next = advice[0] ? ` ${sentence(forVoice(advice[0].do))}` : '';
  if (failed.length > 0) {
    const others = failed.length - 1;
    const more = others === 0 ? '' : `, and ${others} more ${others === 1 ? 'thing' : 'things'}`;
    return `${sentence(`${matterOf(failed[0]!)}${more}`)}${next}`;
  }
  if (watched.length === 0) return 'All well.';
  const watch = watched.length === 1 ? `but ${matterOf(watched[0]!)}` : `with ${watched.length} things to watch`;
  return `Good, ${watch}.${next}`;
};
