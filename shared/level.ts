/** Linear luminance that counts as 0 EV: middle grey, as a fraction of full scale. */
export const MIDDLE_GREY = 0.18;

/**
 * Level in EV around middle grey of a linear value.
 * @param linear fraction of full scale, ≥ 0; 0 gives −Infinity
 */
export const levelEv = (linear: number): number => Math.log2(linear / MIDDLE_GREY);

/** Linear fraction of full scale for a level in EV around middle grey; −Infinity gives 0. */
export const linearOfLevel = (ev: number): number => MIDDLE_GREY * 2 ** ev;
