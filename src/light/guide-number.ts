import {positive} from './fault.js';
import {METRES_PER_FOOT} from './words.js';

/** A guide number printed in feet, in metres. */
export const guideNumberFromFeet = (feet: number): number => positive('The guide number', feet, 'ft') * METRES_PER_FOOT;

/** A guide number printed for another sensitivity, at ISO 100: GN·√(100/S). Source: ISO 1230. */
export const guideNumberAtIso100 = (guideNumber: number, atIso: number): number =>
  positive('The guide number', guideNumber) * Math.sqrt(100 / positive('The ISO value', atIso));

/** Guide number by zoom setting, as a flash's manual lists it. */
export type ZoomRow = {zoomMillimetres: number; guideNumberMetres: number};

/**
 * Guide number at a zoom setting: the row itself, or between two rows by ratio; beyond the table the nearest row.
 * @param table at least one row
 */
export const guideNumberAtZoom = (table: readonly [ZoomRow, ...ZoomRow[]], zoomMillimetres: number): number => {
  const zoom = positive('The zoom setting', zoomMillimetres, 'mm');
  const rows = table.toSorted((a, b) => a.zoomMillimetres - b.zoomMillimetres);
  const above = rows.find(row => row.zoomMillimetres >= zoom);
  const below = rows.findLast(row => row.zoomMillimetres <= zoom);
  if (!above || !below) return (above ?? below ?? table[0]).guideNumberMetres;
  if (above === below) return above.guideNumberMetres;
  const part = Math.log(zoom / below.zoomMillimetres) / Math.log(above.zoomMillimetres / below.zoomMillimetres);
  return below.guideNumberMetres * (above.guideNumberMetres / below.guideNumberMetres) ** part;
};
