import type {BodyBuild} from './body.js';
import type {Camera, CurveName} from './camera.js';
import type {Colour, HeadBuild} from './drawn-head.js';
import type {PhotographName, TextureName} from './photographs.js';
import type {Leak, Light} from './scene.js';
import type {ShapeName} from './trail-shapes.js';

export type HeadRecipe =
  | {kind: 'drawn'; name: string; build: HeadBuild}
  | {kind: 'photograph'; name: PhotographName; mirrored: boolean; reflect: number};

export type WallRecipe = {
  kind: 'plain' | 'plaster' | 'curtain' | 'panels' | TextureName;
  colour: Colour;
  /** Depth of the texture, 0..1. */
  depth: number;
};

export type TrailRecipe = {
  shapes: ShapeName[];
  ev: number;
  /** Width of the line as a fraction of the long edge. */
  width: number;
  brush: 'soft' | 'flat';
  tints: Colour[];
  /** Pulsed: lit part, and period in heads. */
  dash: {lit: number; periodHeads: number} | null;
  wander: number;
  behind: boolean;
  /** What the crossing has to come to; the way is drawn anew until it does. */
  wants: 'clear' | 'crossing' | 'any';
};

export type PopRecipe = {
  light: string;
  /** Set against the plate, EV. The shot's own variation comes on top and is part of the truth. */
  setEv: number;
  /** 0: in the frame's main pose; 1: in its second. */
  pose: 0 | 1;
};

export type FrameRecipe = {
  kind: string;
  pops: PopRecipe[];
  trail: TrailRecipe | null;
  leak: Leak | null;
  /** Sway against the mark: fraction of the frame's width, direction, turn, scale. */
  sway: {amount: number; angle: number; turn: number; scale: number};
  /** Distance between the main and the second pose, fraction of the frame's width. */
  between: number;
  balanceShift: readonly [number, number, number];
};

export type RoomRecipe = {
  name: string;
  seed: string;
  width: number;
  height: number;
  head: HeadRecipe;
  body: BodyBuild;
  /** The face ellipse's height over the frame's, and its place. */
  headFraction: number;
  at: {x: number; y: number};
  /** How well the user set the ellipse: shift in heads and scale. */
  zoneSlack: {x: number; y: number; scale: number};
  wall: WallRecipe;
  lights: Light[];
  ambient: {ev: number; tint: Colour; lean: number};
  /** Standard deviation of a flash from shot to shot, EV. */
  flashSigma: number;
  /** Sway of the plates themselves, fraction of the width. */
  plateSway: number;
  camera: Camera & {curve: CurveName};
  frames: FrameRecipe[];
};
