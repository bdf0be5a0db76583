import {CameraFault} from '../../shared/camera.js';
import {type FindOptions, lookForCameras} from './find.js';
import {libraryHint} from './hint.js';
import {type Machine, thisMachine} from './machine.js';

export type DoctorLine = {
  what: 'library' | 'drivers' | 'cameras' | 'permissions';
  state: 'ok' | 'watch' | 'fail';
  say: string;
  /** What to do about it, in one line; null where nothing is to be done. */
  fix: string | null;
};

/** Programs of a desktop that take a camera as soon as it is plugged in, and what makes each let go. */
const grabbers: readonly {process: RegExp; say: string; fix: string}[] = [
  {
    process: /^gvfs(d)?-gphoto2/,
    say: 'The desktop’s file service takes cameras for itself as soon as they are plugged in.',
    fix: 'systemctl --user mask --now gvfs-gphoto2-volume-monitor.service, then plug the camera in again',
  },
  {
    process: /^(kio_kamera|kiod\dkamera)/,
    say: 'The desktop’s file manager holds the camera.',
    fix: 'close the camera’s window in the file manager, then plug the camera in again',
  },
];

const counted = (count: number, one: string, many: string): string => `${count} ${count === 1 ? one : many}`;

const permissionLines = (machine: Machine): DoctorLine[] => {
  const cameras = machine.usbCameras();
  const shut = cameras.filter(camera => !camera.mayOpen);
  const lines: DoctorLine[] = shut.map(({node}) => ({
    what: 'permissions',
    state: 'fail',
    say: `This user may not open the camera at ${node}.`,
    fix: `install the udev rules of libgphoto2 (apt install --reinstall libgphoto2-6), plug the camera in again; until then: sudo chmod a+rw ${node}`,
  }));
  const running = machine.processNames();
  for (const {process, say, fix} of grabbers) {
    if (!running.some(name => process.test(name))) continue;
    lines.push({what: 'permissions', state: cameras.length > 0 ? 'fail' : 'watch', say, fix});
  }
  if (lines.length > 0) return lines;
  const say =
    cameras.length > 0
      ? `This user may open ${cameras.length === 1 ? 'the camera' : `all ${cameras.length} cameras`} on USB, and no other program holds one.`
      : 'No other program takes cameras for itself.';
  return [{what: 'permissions', state: 'ok', say, fix: null}];
};

/** Looks at the camera library, its drivers, the cameras on USB and who may use them. */
export const doctorGphoto2 = async (
  options: FindOptions & {machine?: Machine} = {},
): Promise<{lines: DoctorLine[]}> => {
  const machine = options.machine ?? thisMachine;
  const permissions = permissionLines(machine);
  try {
    const {library, cameras} = await lookForCameras(options);
    const lines: DoctorLine[] = [
      {what: 'library', state: 'ok', say: `libgphoto2 ${library.version}.`, fix: null},
      {
        what: 'drivers',
        state: library.models > 0 ? 'ok' : 'fail',
        say: `${counted(library.models, 'camera model', 'camera models')}, by ${library.connections.join(', ') || 'no connection'}.`,
        fix: library.models > 0 ? null : 'install the whole of libgphoto2: its drivers are missing',
      },
    ];
    if (cameras.length === 0) {
      const say = 'No camera on USB. A network camera is named by --camera ip:HOST.';
      const fix = 'switch it on, take its USB mode off mass storage, and use a cable that carries data';
      lines.push({what: 'cameras', state: 'watch', say, fix});
    }
    for (const {model, port} of cameras) {
      lines.push({what: 'cameras', state: 'ok', say: `${model} at ${port}.`, fix: null});
    }
    return {lines: [...lines, ...permissions]};
  } catch (fault) {
    const missing = fault instanceof CameraFault && fault.reason === 'unable';
    const say = missing ? 'The camera library libgphoto2 is not on this machine.' : 'The camera library does not run.';
    const fix = missing ? libraryHint() : 'install libgphoto2 anew';
    return {lines: [{what: 'library', state: 'fail', say, fix}, ...permissions]};
  }
};
