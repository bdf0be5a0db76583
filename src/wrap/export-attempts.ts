import type {Shoot} from '../shoot/state.js';
import {type AttemptRow, attemptRows} from './attempt-rows.js';
import {cleanText} from './markup.js';

/** Every attempt as a JSON array of flat objects, units in the names. */
export const attemptsJson = (shoot: Shoot): string => `${JSON.stringify(attemptRows(shoot), null, 2)}\n`;

/**
 * Every attempt as CSV (RFC 4180: CRLF, fields quoted where needed, a header line). A text that a spreadsheet would take
 * for a formula gets an apostrophe before it. A shoot without attempts is an empty text.
 */
export const attemptsCsv = (shoot: Shoot): string => {
  const rows = attemptRows(shoot);
  if (rows.length === 0) return '';
  const columns = Object.keys(rows[0]!);
  return [columns.map(field), ...rows.map(row => columns.map(column => field(row[column] ?? null)))]
    .map(fields => `${fields.join(',')}\r\n`)
    .join('');
};

const field = (value: AttemptRow[string]): string => {
  if (value === null) return '';
  if (typeof value !== 'string') return String(value);
  const text = cleanText(value);
  const plain = /^[\s]*[=+\-@]/.test(text) ? `'${text}` : text;
  return /[",\n]/.test(plain) ? `"${plain.replaceAll('"', '""')}"` : plain;
};
