import {plainText} from '../../shared/plain-text.js';
import type {Reading} from '../../shared/reading.js';
import {printSettings} from '../light/words.js';

const signed = (value: number, digits = 1): string =>
  `${value < 0 ? '−' : '+'}${Math.abs(value).toFixed(digits)}`.replace(/^[−+](0(?:\.0*)?)$/, '$1');

/** A reading as a person would want it on a terminal: the verdict, then what to change, then what could not be told. */
export const printReading = (reading: Reading): string => {
  const {frame, lights, checks, advice, missing} = reading;
  const settings = frame.exposure ? printSettings(frame.exposure) : 'no exposure data';
  const fired = lights.map(light =>
    light.fired ? `${light.id} ${signed(light.ev ?? 0)} EV` : `${light.id} did not fire`,
  );
  const lines = [
    `${frame.file}  ${frame.width} × ${frame.height}  ${settings}`,
    ...(fired.length > 0 ? [`  flashes against their plates: ${fired.join(', ')}`] : []),
    ...checks.map(check => `  ${check.state.padEnd(5)} ${check.id.padEnd(12)} ${check.say}`),
    ...advice.map((one, index) => `  ${index === 0 ? 'try next:' : 'or:      '} ${one.do} (${one.because})`),
    ...missing.map(sentence => `  not measured: ${sentence}`),
  ];
  return `${lines.map(plainText).join('\n')}\n`;
};
