/*
 * Signed distances of the solids that the sitter is modelled from, metres; negative inside. Plain numbers instead of
 * vectors: these run some ten million times for one relief. Forms after Hart 1996, "Sphere tracing".
 */

/** Distance to an ellipsoid around the origin; exact on its skin, a close estimate elsewhere. */
export const ellipsoid = (x: number, y: number, z: number, rx: number, ry: number, rz: number): number => {
  const ax = x / rx;
  const ay = y / ry;
  const az = z / rz;
  const k = Math.sqrt(ax * ax + ay * ay + az * az);
  const bx = ax / rx;
  const by = ay / ry;
  const bz = az / rz;
  const slope = Math.sqrt(bx * bx + by * by + bz * bz);
  return slope > 1e-9 ? (k * (k - 1)) / slope : -Math.min(rx, ry, rz);
};

export const ball = (x: number, y: number, z: number, r: number): number => Math.sqrt(x * x + y * y + z * z) - r;

/** A rod from a to b whose radius goes from ra to rb. */
export const rod = (
  x: number,
  y: number,
  z: number,
  ax: number,
  ay: number,
  az: number,
  bx: number,
  by: number,
  bz: number,
  ra: number,
  rb: number,
): number => {
  const dx = bx - ax;
  const dy = by - ay;
  const dz = bz - az;
  const px = x - ax;
  const py = y - ay;
  const pz = z - az;
  const t = Math.min(1, Math.max(0, (px * dx + py * dy + pz * dz) / (dx * dx + dy * dy + dz * dz)));
  const qx = px - dx * t;
  const qy = py - dy * t;
  const qz = pz - dz * t;
  return Math.sqrt(qx * qx + qy * qy + qz * qz) - (ra + (rb - ra) * t);
};

/** A ring in the x–z plane, squeezed in depth by `flat`. */
export const ring = (x: number, y: number, z: number, major: number, minor: number, flat: number): number => {
  const across = Math.sqrt(x * x + (z / flat) * (z / flat)) - major;
  return (Math.sqrt(across * across + y * y) - minor) * Math.min(1, flat);
};

/** Union with a rounded seam of size k. */
export const join = (a: number, b: number, k: number): number => {
  const h = Math.max(k - Math.abs(a - b), 0) / k;
  return Math.min(a, b) - h * h * k * 0.25;
};

/** a with b cut out of it, the edge rounded by k. */
export const carve = (a: number, b: number, k: number): number => {
  const h = Math.max(k - Math.abs(a + b), 0) / k;
  return Math.max(a, -b) + h * h * k * 0.25;
};
