/** A shoot's folder can't be used; one sentence for a person: what, which folder, what to do. */
export class ShootFault extends Error {
  override name = 'ShootFault';
}
