import {body} from './body.js';
import {drawnHead, drawnHeadEllipse} from './drawn-head.js';
import {patchLight, setSitterGains} from './flash.js';
import {photographEllipse, photographHead} from './photographs.js';
import {seeded} from './random.js';
import type {HeadRecipe, RoomRecipe} from './recipe.js';
import {maskWall, type Scene} from './scene.js';
import {emptySitter, type Part, paint} from './sitter.js';
import {paintWall} from './walls.js';

const partsOf = async (
  head: HeadRecipe,
): Promise<{behind: Part[]; front: Part[]; ellipse: ReturnType<typeof photographEllipse>}> =>
  head.kind === 'drawn'
    ? {...drawnHead(head.build), ellipse: drawnHeadEllipse(head.build)}
    : {
        behind: [],
        front: [await photographHead(head.name, head.mirrored, head.reflect)],
        ellipse: photographEllipse(head.name),
      };

/** Paints the sitter and the wall of a room and sets its lights. */
export const buildScene = async (room: RoomRecipe): Promise<Scene> => {
  const {width, height} = room;
  const {behind, front, ellipse} = await partsOf(room.head);
  const sitter = emptySitter(width, height);
  const headPixels = (room.headFraction * height) / (2 * ellipse.ry);
  const stand = {
    cx: room.at.x * width - ellipse.cx * headPixels,
    cy: room.at.y * height - ellipse.cy * headPixels,
    headPixels,
  };
  for (const part of [...body(room.body), ...behind, ...front]) paint(sitter, part, stand);
  // Long hair falls over the shoulders, so it was painted after the body and before the face.
  const scene: Scene = {
    width,
    height,
    sitter,
    face: {
      cx: room.at.x * width + room.zoneSlack.x * headPixels,
      cy: room.at.y * height + room.zoneSlack.y * headPixels,
      rx: ellipse.rx * headPixels * room.zoneSlack.scale,
      ry: ellipse.ry * headPixels * room.zoneSlack.scale,
    },
    headPixels,
    wall: await paintWall(room.wall, width, height, seeded(`${room.seed}/wall`)),
    lights: room.lights,
    wallLight: room.lights.map(light => patchLight(width, height, light.patches)),
    sitterGain: [],
    ambient: room.ambient,
    wallMask: new Uint8Array(0),
  };
  scene.wallMask = maskWall(scene);
  setSitterGains(scene);
  return scene;
};
