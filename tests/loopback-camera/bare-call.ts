import {openSync} from 'node:fs';
import {stat} from 'node:fs/promises';
import {bindGphoto2, takeUnicodeLocale} from '../../adapters/gphoto2/child/bindings.js';
import {createConnection} from '../../adapters/gphoto2/child/connection.js';
import {libraryNames} from '../../adapters/gphoto2/hint.js';

/** What the bench compares with: the library alone, in a process of its own, one call a file. */

const [port, folder, name] = process.argv.slice(2) as [string, string, string];
takeUnicodeLocale();
const library = bindGphoto2(libraryNames(process.platform));
const connection = createConnection(library);
await connection.open(port, null);

process.on('message', (path: unknown) => {
  void (async () => {
    const {context, camera} = connection.opened;
    const begun = performance.now();
    const file = connection.pointerFrom(into => library.fileOnDescriptor(into, openSync(String(path), 'wx')));
    await connection.call(() => library.fileGet(camera, folder, name, 1, file, context));
    library.fileUnref(file);
    const ms = performance.now() - begun;
    process.send?.({ms, bytes: (await stat(String(path))).size});
  })();
});
process.on('disconnect', () => process.kill(process.pid, 'SIGKILL'));
process.send?.('ready');
