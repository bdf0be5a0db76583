import {join} from 'node:path';
import type {ShootFile} from '../../shared/journal.js';
import type {SessionState} from '../shoot/state.js';
import type {ShownFile} from './hooks/use-picture.js';

/** The file of an attempt or a plate that can be shown: its JPEG where there is one. */
const bestOf = (files: readonly ShootFile[]): ShootFile | null =>
  files.find(file => file.kind === 'jpeg') ?? files.find(file => file.kind === 'raw') ?? null;

/** A file of the shoot as something to show. */
export const shownOf = (state: SessionState, files: readonly ShootFile[]): ShownFile | null => {
  const file = bestOf(files);
  return file ? {path: join(state.folder, file.path), version: file.sha256} : null;
};

/** The picture that the session wants on the screen now. A plate that was taken again has the same name as before. */
export const shownNow = (state: SessionState): ShownFile | null => {
  const path = state.pictureFile;
  if (path === null) return null;
  const files = [...state.shoot.plates, ...state.shoot.attempts].flatMap(one => one.files);
  const known = files.find(file => join(state.folder, file.path) === path);
  return {path, version: known?.sha256 ?? ''};
};
