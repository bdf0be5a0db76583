import type {CueSheet} from './cues.js';
import type {Rig} from './rig.js';

/** What stands and happens in the room for the next exposure. */
export type Arrangement = {
  rig: Rig;
  /** Identities of the flashes that will be fired. */
  firing: string[];
  /** Whether the room's own lights are left on. */
  roomLights: boolean;
  /** Whether somebody stands on the mark. */
  sitter: boolean;
  /** Whether the sitter paints with the moved light; the sheet says when. */
  painting: boolean;
  cues: CueSheet;
};

/** A room that does what it is told: only the simulated one does. In a real room, the person is told instead. */
export type ObedientRoom = {arrange(arrangement: Arrangement): void};
