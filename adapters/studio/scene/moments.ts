import type {Exposure} from '../../../shared/exposure.js';
import type {Arrangement} from '../../../shared/room.js';
import {type BrushPoint, paintingOf, type Slip} from './painting.js';

/** One exposure as the room sees it. */
export type Shot = {
  seed: number;
  /** Number of the exposure and of the painting since the room was opened, from 0. */
  exposureNumber: number;
  paintingNumber: number;
  arrangement: Arrangement;
  exposure: Exposure;
  /** How long the shutter was really open, and how long it was meant to be, seconds. */
  openSeconds: number;
  plannedSeconds: number;
  /** Distance the lens is focused on, metres. */
  focusMetres: number;
  /** The slip that the sitter makes; null leaves it to chance. */
  slip: Slip | null;
};

/** A hand follows a cue this much later, seconds. */
const REACTION = 0.16;

/**
 * When a flash is fired by hand, seconds from the opening: at its cues, a moment late as hands are, the pops of one
 * light after the other.
 */
export const popTimes = (shot: Shot, pops: number): number[] => {
  const cues = shot.arrangement.cues.cues.filter(cue => cue.name === 'flash').map(cue => cue.atSeconds);
  const first = cues[0] ?? shot.plannedSeconds * 0.8125;
  const left = Math.max(0, shot.plannedSeconds - first);
  const pace = Math.min(0.5, (left * 0.7) / pops);
  return Array.from({length: pops}, (_, pop) => {
    const cue = cues.length >= pops ? cues[pop]! : first + pop * pace;
    return cue + Math.min(REACTION, left * 0.2);
  });
};

/** Where the painting light went; empty when nobody painted. */
export const brushPoints = (shot: Shot, eyeHeight: number): BrushPoint[] => {
  const {arrangement, plannedSeconds} = shot;
  if (!arrangement.sitter || !arrangement.painting) return [];
  const when = (name: string, otherwise: number): number =>
    arrangement.cues.cues.find(cue => cue.name === name)?.atSeconds ?? otherwise;
  const from = when('paint', 0.0625 * plannedSeconds) + REACTION;
  const to = when('hold still', 0.6875 * plannedSeconds) + REACTION;
  if (to <= from) return [];
  return paintingOf(shot.seed, shot.paintingNumber, eyeHeight, from, to, shot.slip).points;
};
