/*
 * What makers call the same thing, in the order in which the names are tried (names of libgphoto2's drivers). A camera
 * that uses a name of its own needs a line here, and nothing else.
 */

export const settingNames = {
  shutter: ['shutterspeed', 'shutterspeed2', 'exptime'],
  aperture: ['f-number', 'aperture'],
  iso: ['iso'],
  focusMode: ['focusmode', 'focusmode2', 'autofocus'],
  program: ['expprogram', 'autoexposuremode'],
  format: ['imagequality', 'imageformat', 'imgquality'],
  target: ['capturetarget'],
  battery: ['batterylevel'],
  framesLeft: ['availableshots'],
  clock: ['datetime', 'datetimeutc'],
  focusDrive: ['autofocusdrive', 'autofocus'],
  focusLock: ['focuslock'],
  focusAtRelease: ['autofocus'],
  maker: ['manufacturer'],
  model: ['cameramodel'],
  serial: ['serialnumber', 'eosserialnumber'],
} as const satisfies Record<string, readonly string[]>;

export type Role = keyof typeof settingNames;

export type BulbWay = {
  name: string;
  /** What opens and closes the shutter: the number of a switch, or the first of these choices that the camera has. */
  open: number | readonly string[];
  close: number | readonly string[];
  /** Only where the driver says that the camera has the standard's open capture: elsewhere this would make a film. */
  needsOpenCapture: boolean;
};

/** Ways to hold the shutter open, in the order in which they are tried. */
export const bulbWays: readonly BulbWay[] = [
  {name: 'bulb', open: 1, close: 0, needsOpenCapture: false},
  {name: 'eosremoterelease', open: ['Immediate', 'Press Full'], close: ['Release Full'], needsOpenCapture: false},
  {name: 'movie', open: 1, close: 0, needsOpenCapture: true},
];
