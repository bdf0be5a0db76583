import type {Measurement} from '../../shared/reading.js';
import type {Zones} from '../../shared/zones.js';
import type {DecodedFrame} from './decode/decode.js';
import type {PlateSet} from './plates.js';

/** Exposures that differ by less than this part are the same marked one. */
const SAME = 0.06;

const differs = (a: number, b: number): boolean => Math.abs(a / b - 1) > SAME;

/** Whether a plate was exposed unlike the frame, so that powers would be told against something else. */
const exposedUnlike = (frame: DecodedFrame, plates: PlateSet): boolean => {
  const own = frame.exif.exposure;
  const first = plates.lights[0]?.frame.exif.exposure ?? plates.dark?.exif.exposure;
  if (!own || !first) return false;
  return differs(own.fNumber, first.fNumber) || differs(own.iso, first.iso);
};

const shapeDiffers = (frame: DecodedFrame, plates: PlateSet): boolean => {
  const first = plates.dark ?? plates.lights[0]?.frame ?? plates.sitter;
  return first !== null && first !== undefined && differs(frame.width / frame.height, first.width / first.height);
};

/** What could not be measured of a frame and why, each a sentence. */
export const missingOf = (
  frame: DecodedFrame,
  plates: PlateSet | null,
  zones: Zones | null,
  measured: Pick<Measurement, 'face'>,
): string[] => {
  const say: string[] = [];
  if (!zones) {
    say.push('The face ellipse was guessed from the lit part of the picture; set it on a plate to be sure of it.');
  }
  if (frame.preview) {
    say.push('This is a RAW file, of which the embedded preview was measured.');
  }
  if (!plates || plates.lights.length === 0) {
    say.push('Which flashes fired and how strongly is not known without a plate of each light.');
    say.push('Whose light spills on the wall is not known without a plate of each light.');
  }
  if (!plates?.dark) say.push('How far the room rose is not known without the dark plate.');
  if (!plates || plates.lights.length === 0) {
    say.push('Sharpness and the shift of the head are not known without plates of the sitter.');
    say.push(
      'Whether the trail crosses the face is not known without plates; off the sitter it is told on a dark wall only.',
    );
  } else if (measured.face.sharpness === null) {
    say.push('Sharpness could not be compared: the plates show too little detail on the head, or it stands twice.');
  }
  if (plates && exposedUnlike(frame, plates)) {
    say.push('The plates were taken at another aperture or ISO than this frame, so powers are told against those.');
  }
  if (plates && shapeDiffers(frame, plates)) {
    say.push('The plates have another shape than this frame, so what is told against them is not to be trusted.');
  }
  return say;
};
