/** A hand-off can't be made or isn't whole; one sentence for a person: what, which file or folder, what to do. */
export class WrapFault extends Error {
  override name = 'WrapFault';
}
