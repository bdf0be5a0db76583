import {printRig} from '../light/rig-file.js';
import type {Shoot} from '../shoot/state.js';
import {contactPage} from './contact-page.js';
import {contactPicture} from './contact-picture.js';
import {attemptsCsv, attemptsJson} from './export-attempts.js';
import {rigFromShoot} from './from-shoot.js';
import {lookBackPage} from './look-back.js';
import {setUpDrawing, setUpPage} from './set-up-page.js';
import {createPictureMaker, type SmallPicture} from './small-picture.js';

type Document = {name: string; content: string | Buffer};
type Pictures<Key> = ReadonlyMap<Key, SmallPicture | null>;

/** Spreadsheets take a file for UTF-8 only when it begins so. */
const BYTE_ORDER_MARK = '\ufeff';

/**
 * Everything that goes along with the pictures: sheets, drawing, readings, the rig.
 * @param onPicture called before each attempt's picture is made small, which takes most of the time
 */
export const makeDocuments = async (
  {shoot, shootFolder}: {shoot: Shoot; shootFolder: string},
  signal: AbortSignal,
  onPicture: (attempt: number) => void = () => {},
): Promise<Document[]> => {
  const makePicture = createPictureMaker(shootFolder);
  const attempts = new Map<number, SmallPicture | null>();
  for (const {number, files} of shoot.attempts) {
    signal.throwIfAborted();
    onPicture(number);
    attempts.set(number, await makePicture(files, 390, 390));
  }
  const plates = new Map<string, SmallPicture | null>();
  for (const {plate, files} of shoot.plates) {
    signal.throwIfAborted();
    plates.set(plate, await makePicture(files, 220, 220));
  }
  const source = shoot.attempts.find(({number}) => number === rigFromShoot(shoot).attempt);
  const result = source ? await makePicture(source.files, 640, 640) : null;
  return documentsOf(shoot, attempts, plates, result);
};

const documentsOf = async (
  shoot: Shoot,
  attempts: Pictures<number>,
  plates: Pictures<string>,
  result: SmallPicture | null,
): Promise<Document[]> => [
  {name: 'contact-sheet.html', content: contactPage(shoot, attempts)},
  {name: 'contact-sheet.jpg', content: await contactPicture(shoot, attempts)},
  {name: 'set-up.html', content: setUpPage(shoot, plates, result)},
  {name: 'set-up.svg', content: setUpDrawing(shoot)},
  {name: 'look-back.html', content: lookBackPage(shoot)},
  {name: 'attempts.csv', content: BYTE_ORDER_MARK + attemptsCsv(shoot)},
  {name: 'attempts.json', content: attemptsJson(shoot)},
  {name: 'rig.json', content: printRig(rigFromShoot(shoot).rig)},
];
