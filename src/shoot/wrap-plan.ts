import type {ShootFile} from '../../shared/journal.js';
import type {Shoot} from './state.js';

/** The files of the attempts that are kept, in their order; also those of maybe, where asked. */
export const wrapFiles = ({attempts}: Pick<Shoot, 'attempts'>, maybeToo: boolean): ShootFile[] =>
  attempts.filter(({mark}) => mark === 'keep' || (maybeToo && mark === 'maybe')).flatMap(({files}) => files);
