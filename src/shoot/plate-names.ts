import type {PlateName} from '../../shared/journal.js';
import type {Rig} from '../../shared/rig.js';

/** The plates of a rig in the order in which they are taken: dark, each flash alone, then the sitter under all of them. */
export const wantedPlates = (rig: Rig): PlateName[] => {
  const lights = rig.lights.filter(light => light.on).map(light => `light ${light.id}` as PlateName);
  return ['dark', ...lights, 'sitter'];
};

/** "dark", "light-A", "sitter": the file's name without its ending. */
export const plateStem = (plate: PlateName): string => plate.replace(' ', '-');
