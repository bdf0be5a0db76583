/*
 * Code numbers of the picture transfer protocol (ISO 15740) and of its use over a network (CIPA DC-005), as far as the
 * loopback camera speaks it.
 */

export const PACKET = {
  initCommand: 1,
  initCommandAck: 2,
  initEvents: 3,
  initEventsAck: 4,
  initFail: 5,
  request: 6,
  response: 7,
  event: 8,
  startData: 9,
  data: 10,
  cancel: 11,
  endData: 12,
  probe: 13,
  probeAnswer: 14,
} as const;

export const OPERATION = {
  getDeviceInfo: 0x1001,
  openSession: 0x1002,
  closeSession: 0x1003,
  getStorageIds: 0x1004,
  getStorageInfo: 0x1005,
  getObjectHandles: 0x1007,
  getObjectInfo: 0x1008,
  getObject: 0x1009,
  getThumb: 0x100a,
  deleteObject: 0x100b,
  initiateCapture: 0x100e,
  getPropertyDescription: 0x1014,
  getPropertyValue: 0x1015,
  setPropertyValue: 0x1016,
  terminateOpenCapture: 0x1018,
  getPartialObject: 0x101b,
  initiateOpenCapture: 0x101c,
} as const;

export const RESPONSE = {
  ok: 0x2001,
  generalError: 0x2002,
  sessionNotOpen: 0x2003,
  operationNotSupported: 0x2005,
  invalidObject: 0x2009,
  propertyNotSupported: 0x200a,
  storeFull: 0x200c,
  accessDenied: 0x200f,
  busy: 0x2019,
  invalidValue: 0x201c,
  sessionAlreadyOpen: 0x201e,
} as const;

export const EVENT = {
  objectAdded: 0x4002,
  propertyChanged: 0x4006,
  storeFull: 0x400a,
  captureComplete: 0x400d,
} as const;

export const PROPERTY = {
  battery: 0x5001,
  compression: 0x5004,
  fNumber: 0x5007,
  focusMode: 0x500a,
  exposureTime: 0x500d,
  program: 0x500e,
  iso: 0x500f,
  dateTime: 0x5011,
} as const;

export const FORMAT = {undefined: 0x3000, folder: 0x3001, jpeg: 0x3801} as const;

export const TYPE = {uint8: 0x0002, uint16: 0x0004, uint32: 0x0006, text: 0xffff} as const;
