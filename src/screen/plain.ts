import {plainText} from '../../shared/plain-text.js';

/** Signs without a look of their own: they would make a text wider or narrower than it seems. */
const invisible = /[\u00ad\u180e\u200b-\u200d\u2060-\u2065\u206a-\u206f\ufff9-\ufffb]|\udb40[\udc00-\uddef]/g;
/** More than two combining marks on one sign would climb over the rows above. */
const stackedMarks = /(\p{M}{2})\p{M}+/gu;

/**
 * Text that may be drawn: one line, nothing that a terminal acts on, nothing that hides, turns or climbs. Everything
 * that comes from a camera, a file or the journal passes here on its way to the screen.
 * @param limit the longest text that is let through, in UTF-16 units; the rest becomes an ellipsis
 */
export const plain = (text: string, limit = 400): string => {
  const whole = plainText(text.slice(0, limit)).replace(invisible, '').replace(stackedMarks, '$1');
  return text.length > limit ? `${whole}…` : whole;
};
