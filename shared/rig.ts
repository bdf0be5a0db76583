import {z} from 'zod';

/*
 * Where things stand. The mark is the origin. An angle of 0° points from the mark to the camera and grows towards the
 * right of the picture (the sitter's left); 180° is straight behind the sitter. Heights are above the floor.
 */

/** A light's identity: one capital letter. */
export const lightIdSchema = z.string().regex(/^[A-Z]$/, 'a light is named by one capital letter');

const name = z.string().max(80);

export const gelSchema = z.object({
  name,
  /** Shift in mired (10⁶/K); positive warms. */
  miredShift: z.number().min(-500).max(500),
  /** Light lost in stops. */
  lossStops: z.number().min(0).max(10),
});

/** A tube on a light; sizes in millimetres. The source is the flash's lit front, the exit the tube's far opening. */
export const snootSchema = z.object({
  name,
  sourceMillimetres: z.number().min(0).max(1000),
  exitMillimetres: z.number().positive().max(1000),
  tubeMillimetres: z.number().positive().max(3000),
  lossStops: z.number().min(0).max(10),
});

export const flashLightSchema = z.object({
  id: lightIdSchema,
  name,
  /** Whether the photographer means to use it at all. */
  on: z.boolean(),
  /** Guide number in metres at ISO 100, full power, at the zoom setting in use. */
  guideNumberMetres: z.number().positive().max(500),
  zoomMillimetres: z.number().positive().max(1000).nullable(),
  /** Fraction of full power, 1 to 1/512. */
  power: z
    .number()
    .min(1 / 512)
    .max(1),
  /** How often it is fired in one exposure. */
  pops: z.number().int().min(1).max(64),
  /** Colour temperature of the bare flash. */
  kelvin: z.number().min(1000).max(40_000),
  gel: gelSchema.nullable(),
  snoot: snootSchema.nullable(),
  /** From the flash to the sitter's face. */
  distanceMetres: z.number().positive().max(100),
  angleDegrees: z.number().min(-180).max(180),
  heightMetres: z.number().min(0).max(20),
  /** How far the aim is turned from the face: positive turns towards the right of the picture. */
  aimOffDegrees: z.number().min(-180).max(180),
});

export const paintingLightSchema = z.object({
  name,
  kelvin: z.number().min(1000).max(40_000),
  /** Level of the trail in EV around middle grey at the reference exposure and the usual speed of hand. */
  trailEv: z.number().min(-20).max(20),
  /** The exposure at which trailEv holds. */
  atFNumber: z.number().min(0.5).max(128),
  atIso: z.number().min(1).max(10_000_000),
});

export const rigSchema = z.object({
  schema: z.literal(1),
  name,
  lights: z.array(flashLightSchema).max(8),
  painting: paintingLightSchema,
  mark: z.object({
    /** From the camera's lens to the mark. */
    cameraDistanceMetres: z.number().positive().max(100),
    /** From the mark to the wall behind it. */
    backWallMetres: z.number().positive().max(100),
    /** From the mark to the walls at the left and right of the picture; null when there is none near. */
    leftWallMetres: z.number().positive().max(100).nullable(),
    rightWallMetres: z.number().positive().max(100).nullable(),
    /** Height of the sitter's eyes. */
    eyeHeightMetres: z.number().positive().max(3),
  }),
  lens: z.object({
    focalMillimetres: z.number().min(1).max(3000),
    sensorWidthMillimetres: z.number().min(1).max(500),
    sensorHeightMillimetres: z.number().min(1).max(500),
    heightMetres: z.number().min(0).max(20),
  }),
  notes: z.string().max(4000),
});

export type Gel = z.infer<typeof gelSchema>;
export type Snoot = z.infer<typeof snootSchema>;
export type FlashLight = z.infer<typeof flashLightSchema>;
export type PaintingLight = z.infer<typeof paintingLightSchema>;
export type Rig = z.infer<typeof rigSchema>;

/** The rig of the demo shoot, "The Lantern Keeper": our own invention, and what a new shoot starts from. */
export const demoRig: Rig = {
  schema: 1,
  name: 'The Lantern Keeper',
  lights: [
    {
      id: 'A',
      name: 'key, warm, from the left of the picture',
      on: true,
      guideNumberMetres: 32,
      zoomMillimetres: 50,
      power: 1 / 4,
      pops: 1,
      kelvin: 5500,
      gel: {name: 'full warm', miredShift: 159, lossStops: 0.86},
      snoot: {name: 'long snoot', sourceMillimetres: 50, exitMillimetres: 60, tubeMillimetres: 220, lossStops: 1},
      distanceMetres: 1.1,
      angleDegrees: -48,
      heightMetres: 1.9,
      aimOffDegrees: 0,
    },
    {
      id: 'B',
      name: 'rim, half warm, from behind at the right',
      on: true,
      guideNumberMetres: 32,
      zoomMillimetres: 50,
      power: 1 / 4,
      pops: 1,
      kelvin: 5500,
      gel: {name: 'half warm', miredShift: 109, lossStops: 0.49},
      snoot: {name: 'short snoot', sourceMillimetres: 50, exitMillimetres: 80, tubeMillimetres: 160, lossStops: 0.7},
      distanceMetres: 1.1,
      angleDegrees: 112,
      heightMetres: 1.8,
      aimOffDegrees: 0,
    },
  ],
  painting: {name: 'dimmed LED wand', kelvin: 2700, trailEv: 1.5, atFNumber: 8, atIso: 100},
  mark: {cameraDistanceMetres: 2, backWallMetres: 1.6, leftWallMetres: 1.8, rightWallMetres: 1.8, eyeHeightMetres: 1.6},
  lens: {focalMillimetres: 50, sensorWidthMillimetres: 36, sensorHeightMillimetres: 24, heightMetres: 1.5},
  notes: '',
};
