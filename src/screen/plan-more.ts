import type {Exposure} from '../../shared/exposure.js';
import {LightFault} from '../light/fault.js';
import {planReport} from '../light/plan.js';
import {planSections, type Section} from '../light/plan-text.js';
import {plain} from './plain.js';
import type {Draft} from './ui/state.js';

/** One thing that the plan has to say, and whether it is the heading of those after it. */
export type MoreLine = {text: string; heading: boolean};

const linesOf = ({title, lines}: Section): MoreLine[] => [
  {text: plain(title), heading: true},
  ...lines.map(line => ({text: plain(line.trim(), 600), heading: false})),
];

const sectionsOf = (set: Exposure, plan: Draft): Section[] => {
  const asked = {exposure: plan.exposure, roomEv100: plan.roomEv100, rig: plan.rig};
  const said = (options: Parameters<typeof planReport>[0]): Section[] =>
    planSections(planReport(options), {explain: false, feet: false, asked: options});
  const {shutterSeconds, fNumber, iso} = plan.exposure;
  const isChanged = shutterSeconds !== set.shutterSeconds || fNumber !== set.fNumber || iso !== set.iso;
  // The change is told from what is set to what is planned, and comes first: it is what was just asked for.
  return [...(isChanged ? said({...asked, exposure: set, to: plan.exposure}).slice(-1) : []), ...said(asked)];
};

/**
 * All that light will do with these values, as `darkset plan` says it.
 * @param set the exposure that is set now; where the plan has another one, what that changes comes first
 */
export const moreLines = (set: Exposure, plan: Draft): MoreLine[] => {
  try {
    return sectionsOf(set, plan).flatMap(linesOf);
  } catch (error) {
    if (error instanceof LightFault) return [{text: error.message, heading: false}];
    throw error;
  }
};
