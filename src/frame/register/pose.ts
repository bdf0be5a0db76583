/** How the head stands against the plates, in pixels of the work image: moved, then turned and scaled about `centre`. */
export type Pose = {
  centre: {x: number; y: number};
  /** To the right and down. */
  dx: number;
  dy: number;
  /** Radians, clockwise in the picture. */
  turn: number;
  scale: number;
};

export const still = (centre: {x: number; y: number}): Pose => ({centre, dx: 0, dy: 0, turn: 0, scale: 1});

/**
 * Where on the plates a point of the frame is found: x' = ax·x + bx·y + cx, y' = ay·x + by·y + cy.
 */
export type Placement = {ax: number; bx: number; cx: number; ay: number; by: number; cy: number};

export const placementOf = ({centre, dx, dy, turn, scale}: Pose): Placement => {
  const cos = Math.cos(turn) / scale;
  const sin = Math.sin(turn) / scale;
  const atX = centre.x + dx;
  const atY = centre.y + dy;
  return {
    ax: cos,
    bx: sin,
    cx: centre.x - cos * atX - sin * atY,
    ay: -sin,
    by: cos,
    cy: centre.y + sin * atX - cos * atY,
  };
};

/** Of what doesn't move. */
export const unmoved: Placement = {ax: 1, bx: 0, cx: 0, ay: 0, by: 1, cy: 0};
