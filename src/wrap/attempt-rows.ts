import {attemptSummary, scoreOf} from '../judge/compare.js';
import type {Attempt, Shoot} from '../shoot/state.js';

type Cell = string | number | boolean | null;
/** One attempt as a row; every row of a shoot has the same columns in the same order. */
export type AttemptRow = Record<string, Cell>;

/** One row an attempt, oldest first. Units are in the column names; null is what was not measured. */
export const attemptRows = (shoot: Shoot): AttemptRow[] => {
  const ids = lightsOf(shoot.attempts);
  return shoot.attempts.map(attempt => ({
    ...course(attempt),
    ...settings(attempt),
    ...verdict(attempt),
    ...face(attempt),
    ...room(attempt),
    ...trail(attempt),
    ...Object.assign({}, ...ids.map(id => light(attempt, id))),
    notes: attempt.notes.join(' | '),
    trouble: attempt.trouble ?? '',
    files: attempt.files.map(({path}) => path).join(' '),
  }));
};

const lightsOf = (attempts: readonly Attempt[]): string[] =>
  [...new Set(attempts.flatMap(({rig}) => rig.lights.map(({id}) => id)))].sort();

/** Rounds what a measurement can't know anyway. */
const rounded = (value: number | null | undefined, digits = 3): number | null =>
  value === null || value === undefined || !Number.isFinite(value) ? null : Number(value.toFixed(digits));

const course = (attempt: Attempt): AttemptRow => ({
  attempt: attempt.number,
  at: attempt.at,
  stage: attempt.stage,
  series: attempt.series,
  mark: attempt.mark ?? '',
  changes: attempt.changes.join('; '),
});

const settings = ({exposure, cues, openSeconds, rig}: Attempt): AttemptRow => ({
  shutter_s: exposure.shutterSeconds,
  aperture_f_number: exposure.fNumber,
  sensitivity_iso: exposure.iso,
  countdown_s: cues.countdownSeconds,
  open_s: rounded(openSeconds),
  focal_length_mm: rig.lens.focalMillimetres,
  mark_to_camera_m: rig.mark.cameraDistanceMetres,
  mark_to_back_wall_m: rig.mark.backWallMetres,
  painting_light: rig.painting.name,
  painting_light_level_ev: rounded(rig.painting.trailEv),
});

const verdict = ({reading}: Attempt): AttemptRow => ({
  verdict: reading ? attemptSummary(reading.checks) : '',
  score_of_100: reading ? rounded(scoreOf(reading), 1) : null,
  first_advice: reading?.advice[0]?.do ?? '',
});

const face = ({reading}: Attempt): AttemptRow => ({
  face_level_ev: rounded(reading?.face.levelEv),
  face_clipped_fraction: rounded(reading?.face.clippedFraction, 5),
  face_left_over_right_ev: rounded(reading?.face.leftRightEv),
  face_sharpness_of_plate: rounded(reading?.face.sharpness),
  head_shift_x_of_frame: rounded(reading?.face.shift.x, 5),
  head_shift_y_of_frame: rounded(reading?.face.shift.y, 5),
  head_doubled: reading?.face.doubled ?? null,
});

const room = ({reading}: Attempt): AttemptRow => ({
  room_level_ev: rounded(reading?.ambient.levelEv),
  room_rise_ev: rounded(reading?.ambient.riseEv),
  room_side: reading?.ambient.side ?? '',
  room_colour_k: rounded(reading?.ambient.kelvin, 0),
});

const trail = ({reading}: Attempt): AttemptRow => ({
  trail_coverage_fraction: rounded(reading?.trail?.coverage, 4),
  trail_crossing_of_face: rounded(reading?.trail?.crossing, 5),
  head_gap_heads: rounded(reading?.trail?.headGap),
  trail_offset_x_heads: rounded(reading?.trail?.offset.x),
  trail_offset_y_heads: rounded(reading?.trail?.offset.y),
  trail_clipped_fraction: rounded(reading?.trail?.clippedFraction, 4),
  trail_level_ev: rounded(reading?.trail?.levelEv),
  trail_uneven_ev: rounded(reading?.trail?.unevenEv),
});

const light = ({rig, reading}: Attempt, id: string): AttemptRow => {
  const stand = rig.lights.find(each => each.id === id);
  const fired = reading?.lights.find(each => each.id === id);
  const spill = reading?.spill.find(each => each.light === id);
  return {
    [`${id}_on`]: stand?.on ?? null,
    [`${id}_power_of_full`]: rounded(stand?.power, 5),
    [`${id}_pops`]: stand?.pops ?? null,
    [`${id}_distance_m`]: rounded(stand?.distanceMetres),
    [`${id}_angle_deg`]: rounded(stand?.angleDegrees, 1),
    [`${id}_height_m`]: rounded(stand?.heightMetres),
    [`${id}_aim_off_deg`]: rounded(stand?.aimOffDegrees, 1),
    [`${id}_zoom_mm`]: rounded(stand?.zoomMillimetres, 1),
    [`${id}_gel`]: stand?.gel?.name ?? '',
    [`${id}_gel_mired`]: rounded(stand?.gel?.miredShift, 1),
    [`${id}_snoot`]: stand?.snoot?.name ?? '',
    [`${id}_snoot_tube_mm`]: stand?.snoot?.tubeMillimetres ?? null,
    [`${id}_snoot_exit_mm`]: stand?.snoot?.exitMillimetres ?? null,
    [`${id}_fired`]: fired?.fired ?? null,
    [`${id}_against_plate_ev`]: rounded(fired?.ev),
    [`${id}_spill_ev`]: rounded(spill?.levelEv),
    [`${id}_spill_share`]: rounded(spill?.share),
  };
};
