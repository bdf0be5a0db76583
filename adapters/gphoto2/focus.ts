import {CameraFault} from '../../shared/camera.js';
import type {Readings} from './dials.js';
import type {Session} from './session.js';
import {focusModeOf} from './values.js';

/** Lets the camera focus now. @throws CameraFault `unable` where it can't be asked to */
export const driveFocus = async (session: Session, readings: Readings): Promise<void> => {
  const setting = readings.focusDrive;
  if (setting === undefined || setting.readOnly) {
    throw new CameraFault('unable', 'This camera can’t be focused from here; focus with its release or by hand.');
  }
  await session.ask<'write'>({do: 'write', name: setting.name, value: 1}, 'focus');
};

/**
 * Keeps the focus where it is: by manual focus where the mode can be set, else by the camera's lock, else by taking the
 * focusing out of the release.
 * @returns whether the camera shows it itself
 * @throws CameraFault `unable`
 */
export const lockFocus = async (session: Session, readings: Readings): Promise<{shown: boolean}> => {
  const mode = readings.focusMode;
  if (mode !== undefined && focusModeOf(String(mode.value)) === 'manual') return {shown: true};
  const manual = mode?.readOnly === false ? mode.choices.find(choice => focusModeOf(choice) === 'manual') : undefined;
  if (mode !== undefined && manual !== undefined) {
    await session.ask<'write'>({do: 'write', name: mode.name, value: manual}, 'lock the focus');
    const {settings} = await session.ask<'read'>({do: 'read', names: [mode.name]}, 'lock the focus');
    if (focusModeOf(String(settings[0]?.value)) === 'manual') return {shown: true};
  }
  const lock = readings.focusLock;
  if (lock?.readOnly === false) {
    await session.ask<'write'>({do: 'write', name: lock.name, value: 1}, 'lock the focus');
    return {shown: false};
  }
  const atRelease = readings.focusAtRelease;
  const off = atRelease?.readOnly === false ? atRelease.choices.find(choice => /^off$/i.test(choice)) : undefined;
  if (atRelease !== undefined && off !== undefined) {
    await session.ask<'write'>({do: 'write', name: atRelease.name, value: off}, 'lock the focus');
    return {shown: false};
  }
  throw new CameraFault('unable', 'The focus can’t be locked from here; set the lens to manual focus.');
};
