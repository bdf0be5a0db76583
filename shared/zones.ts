import {z} from 'zod';

/** An ellipse in fractions of the frame: x to the right of its width, y down of its height. */
export const ellipseSchema = z.object({
  cx: z.number().min(-0.5).max(1.5),
  cy: z.number().min(-0.5).max(1.5),
  rx: z.number().positive().max(1),
  ry: z.number().positive().max(1),
});

/** zones.json: the ellipse around the sitter's head. The wall is what lies outside a margin around face and body. */
export const zonesSchema = z.object({face: ellipseSchema});

export type Ellipse = z.infer<typeof ellipseSchema>;
export type Zones = z.infer<typeof zonesSchema>;
