import type {Check} from '../../shared/reading.js';
import {adviceFor} from './advice/advice.js';
import {faceChecks} from './checks/face.js';
import {flashChecks} from './checks/flash.js';
import {roomChecks, spillChecks} from './checks/room.js';
import {trailChecks} from './checks/trail.js';
import type {Judge, JudgeInput} from './contract.js';
import {wallAt} from './sides.js';
import {viewOf} from './view.js';

/** Every check that this frame allows, in the order in which a photographer asks. */
export const checksFor = (input: JudgeInput): Check[] => {
  const view = viewOf(input);
  return [
    ...flashChecks(view),
    ...faceChecks(view),
    ...trailChecks(view),
    ...spillChecks(view, at => wallAt(at, input.zones ?? null)),
    ...roomChecks(view),
  ];
};

/** What to think of one frame, and what to change next, the most useful first. */
export const judge: Judge = input => {
  const checks = checksFor(input);
  return {checks, advice: adviceFor(input, checks)};
};

/** Whether an attempt stands: something was checked, and nothing failed. */
export const passes = (checks: Check[]): boolean => checks.length > 0 && checks.every(check => check.state !== 'fail');
