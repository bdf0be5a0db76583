import koffi, {type LibraryHandle} from 'koffi';

/*
 * The C functions of libgphoto2 2.5 (its public headers), as far as we use them. `async` ones wait for the camera and
 * run on libuv's threads; the others only touch memory.
 */

/** An address in the library's memory. */
export type Pointer = bigint | null;

type Bound = ReturnType<LibraryHandle['func']>;
type Value = Pointer | number | string | Uint8Array | (Pointer | number)[] | object;

const waiting =
  (bound: Bound) =>
  (...values: Value[]): Promise<number> =>
    new Promise((resolve, reject) => {
      bound.async(...values, (error: unknown, code: number) => (error ? reject(error) : resolve(code)));
    });

const direct =
  (bound: Bound) =>
  (...values: Value[]): number =>
    bound(...values);

/** Sizes of the C structures, in bytes, on every 64-bit system. */
export const SIZE = {abilities: 2504, filePath: 1152, fileInfo: 272, storage: 808, summary: 32 * 1024};

const openFirst = (pairs: readonly (readonly [string, string])[]): [LibraryHandle, LibraryHandle] => {
  for (const [camera, port] of pairs) {
    try {
      return [koffi.load(camera), koffi.load(port)];
    } catch {
      // The next name may be the right one for this system.
    }
  }
  throw new MissingLibrary('The camera library libgphoto2 was not found.');
};

/** libgphoto2 is not on this machine under any name that we know. */
export class MissingLibrary extends Error {
  override name = 'MissingLibrary';
}

/**
 * Binds the library.
 * @param pairs file names of libgphoto2 and libgphoto2_port, tried in this order
 * @throws MissingLibrary
 */
export const bindGphoto2 = (pairs: readonly (readonly [string, string])[]) => {
  const [camera, port] = openFirst(pairs);
  const abilities = koffi.struct({bytes: koffi.array('uint8_t', SIZE.abilities)});
  const reportType = koffi.pointer(koffi.proto('void', ['void *', 'const char *', 'void *']));
  const wait = (declaration: string) => waiting(camera.func(declaration));
  const now = (declaration: string) => direct(camera.func(declaration));
  const version: Bound = camera.func('void *gp_library_version(int verbose)');
  const context: Bound = camera.func('void *gp_context_new()');
  const resultText: Bound = camera.func('const char *gp_result_as_string(int result)');
  const setErrorFunction: Bound = camera.func('gp_context_set_error_func', 'void', ['void *', reportType, 'void *']);

  return {
    version: (): string => String(koffi.decode(version(0), 'const char *')),
    newContext: (): Pointer => context(),
    resultText: (code: number): string => String(resultText(code)),
    /** Hands every reason that a driver gives to the listener. */
    onReason: (target: Pointer, listener: (text: string) => void): void => {
      const heard = (_context: unknown, text: string | null) => listener(text ?? '');
      setErrorFunction(target, koffi.register(heard, reportType), null);
    },

    abilitiesNew: now('int gp_abilities_list_new(_Out_ void **list)'),
    abilitiesLoad: wait('int gp_abilities_list_load(void *list, void *context)'),
    abilitiesCount: now('int gp_abilities_list_count(void *list)'),
    abilitiesDetect: wait('int gp_abilities_list_detect(void *list, void *ports, void *found, void *context)'),
    abilitiesLookup: now('int gp_abilities_list_lookup_model(void *list, const char *model)'),
    abilitiesGet: now('int gp_abilities_list_get_abilities(void *list, int index, _Out_ uint8_t *abilities)'),

    portsNew: direct(port.func('int gp_port_info_list_new(_Out_ void **list)')),
    portsLoad: waiting(port.func('int gp_port_info_list_load(void *list)')),
    portsFree: direct(port.func('int gp_port_info_list_free(void *list)')),
    portsCount: direct(port.func('int gp_port_info_list_count(void *list)')),
    portsLookup: direct(port.func('int gp_port_info_list_lookup_path(void *list, const char *path)')),
    portsGet: direct(port.func('int gp_port_info_list_get_info(void *list, int index, _Out_ void **info)')),
    portPath: direct(port.func('int gp_port_info_get_path(void *info, _Out_ void **path)')),

    listNew: now('int gp_list_new(_Out_ void **list)'),
    listFree: now('int gp_list_free(void *list)'),
    listCount: now('int gp_list_count(void *list)'),
    listName: now('int gp_list_get_name(void *list, int index, _Out_ void **text)'),
    listValue: now('int gp_list_get_value(void *list, int index, _Out_ void **text)'),

    cameraNew: now('int gp_camera_new(_Out_ void **camera)'),
    cameraUnref: now('int gp_camera_unref(void *camera)'),
    cameraSetAbilities: direct(camera.func('gp_camera_set_abilities', 'int', ['void *', abilities])),
    cameraSetPort: now('int gp_camera_set_port_info(void *camera, void *info)'),
    cameraInit: wait('int gp_camera_init(void *camera, void *context)'),
    cameraExit: wait('int gp_camera_exit(void *camera, void *context)'),
    cameraSummary: wait('int gp_camera_get_summary(void *camera, void *text, void *context)'),
    cameraNames: wait('int gp_camera_list_config(void *camera, void *list, void *context)'),
    cameraConfig: wait('int gp_camera_get_config(void *camera, _Out_ void **widget, void *context)'),
    cameraRead: wait(
      'int gp_camera_get_single_config(void *camera, const char *name, _Out_ void **widget, void *context)',
    ),
    cameraWrite: wait('int gp_camera_set_single_config(void *camera, const char *name, void *widget, void *context)'),
    cameraTrigger: wait('int gp_camera_trigger_capture(void *camera, void *context)'),
    cameraCapture: wait('int gp_camera_capture(void *camera, int type, void *path, void *context)'),
    cameraEvent: wait(
      'int gp_camera_wait_for_event(void *camera, int milliseconds, _Out_ int *type, _Out_ void **data, void *context)',
    ),
    cameraStorages: wait(
      'int gp_camera_get_storageinfo(void *camera, _Out_ void **storages, _Out_ int *count, void *context)',
    ),
    cameraFiles: wait('int gp_camera_folder_list_files(void *camera, const char *folder, void *list, void *context)'),
    cameraFolders: wait(
      'int gp_camera_folder_list_folders(void *camera, const char *folder, void *list, void *context)',
    ),
    fileInfo: wait(
      'int gp_camera_file_get_info(void *camera, const char *folder, const char *name, void *info, void *context)',
    ),
    fileRead: wait(
      'int gp_camera_file_read(void *camera, const char *folder, const char *name, int type, uint64_t offset, void *into, _Inout_ uint64_t *size, void *context)',
    ),
    fileGet: wait(
      'int gp_camera_file_get(void *camera, const char *folder, const char *name, int type, void *file, void *context)',
    ),
    fileOnDescriptor: now('int gp_file_new_from_fd(_Out_ void **file, int descriptor)'),
    fileUnref: now('int gp_file_unref(void *file)'),

    widgetType: now('int gp_widget_get_type(void *widget, _Out_ int *type)'),
    widgetName: now('int gp_widget_get_name(void *widget, _Out_ void **text)'),
    widgetText: now('int gp_widget_get_value(void *widget, _Out_ void **text)'),
    widgetWhole: now('int gp_widget_get_value(void *widget, _Out_ int *value)'),
    widgetReal: now('int gp_widget_get_value(void *widget, _Out_ float *value)'),
    widgetSetText: now('int gp_widget_set_value(void *widget, const char *text)'),
    widgetSetWhole: now('int gp_widget_set_value(void *widget, int *value)'),
    widgetSetReal: now('int gp_widget_set_value(void *widget, float *value)'),
    widgetReadOnly: now('int gp_widget_get_readonly(void *widget, _Out_ int *flag)'),
    widgetChoices: now('int gp_widget_count_choices(void *widget)'),
    widgetChoice: now('int gp_widget_get_choice(void *widget, int index, _Out_ void **text)'),
    widgetRange: now('int gp_widget_get_range(void *widget, _Out_ float *low, _Out_ float *high, _Out_ float *step)'),
    widgetChildren: now('int gp_widget_count_children(void *widget)'),
    widgetChild: now('int gp_widget_get_child(void *widget, int index, _Out_ void **child)'),
    widgetFree: now('int gp_widget_free(void *widget)'),
  };
};

export type Gphoto2 = ReturnType<typeof bindGphoto2>;

/** Reads the C string at an address; '' for none. */
export const textAt = (pointer: Pointer): string => (pointer === null ? '' : String(koffi.decode(pointer, 'char', -1)));

/** Copies bytes out of the library's memory. */
export const bytesAt = (pointer: Pointer, length: number): Buffer =>
  pointer === null ? Buffer.alloc(0) : Buffer.from(koffi.decode(pointer, koffi.array('uint8_t', length, 'Typed')));

/** Memory that stays where it is, for calls that run on another thread. */
export type StableMemory = {pointer: Pointer; bytes: Buffer; free(): void};

export const stableMemory = (length: number): StableMemory => {
  const pointer: Pointer = koffi.alloc('uint8_t', length);
  return {pointer, bytes: Buffer.from(koffi.view(pointer, length)), free: () => koffi.free(pointer)};
};

/** Gives memory back that the library has allocated for us. */
export const release = (pointer: Pointer): void => {
  if (pointer !== null) koffi.free(pointer);
};

/** Names with accents come out as question marks in the C locale that Node starts in. */
export const takeUnicodeLocale = (): void => {
  const lcCtype = process.platform === 'darwin' ? 2 : 0;
  const wanted = process.platform === 'darwin' ? ['en_US.UTF-8', 'UTF-8'] : ['C.UTF-8', 'C.utf8', 'en_US.UTF-8'];
  try {
    const setlocale: Bound = koffi.load(null).func('void *setlocale(int category, const char *locale)');
    for (const locale of wanted) if (setlocale(lcCtype, locale) !== null) return;
  } catch {
    // Without it only accents in file names suffer.
  }
};
