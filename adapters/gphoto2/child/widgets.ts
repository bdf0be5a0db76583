import type {Setting} from '../messages.js';
import {type Gphoto2, type Pointer, textAt} from './bindings.js';

/** Kinds of widget (gphoto2-widget.h) by their number. */
const kinds: Record<number, Setting['type']> = {
  2: 'text',
  3: 'range',
  4: 'toggle',
  5: 'choice',
  6: 'choice',
  8: 'date',
};

const MAX_CHOICES = 4096;
const MAX_TEXT = 16_000;

/** The text that a function of the library hands out through a pointer; '' where it refuses. */
export const textFrom = (call: (into: Pointer[]) => number): string => {
  const into: Pointer[] = [null];
  return call(into) < 0 ? '' : textAt(into[0]!).slice(0, MAX_TEXT);
};

const wholeFrom = (call: (into: number[]) => number): number => {
  const into = [0];
  return call(into) < 0 ? 0 : into[0]!;
};

const kindOf = (library: Gphoto2, widget: Pointer): Setting['type'] =>
  kinds[wholeFrom(into => library.widgetType(widget, into))] ?? 'other';

const currentValue = (library: Gphoto2, widget: Pointer, type: Setting['type']): Setting['value'] => {
  if (type === 'range') {
    const into = [0];
    return library.widgetReal(widget, into) < 0 ? null : into[0]!;
  }
  if (type === 'toggle' || type === 'date') {
    const into = [0];
    return library.widgetWhole(widget, into) < 0 ? null : into[0]!;
  }
  if (type === 'other') return null;
  const into: Pointer[] = [null];
  return library.widgetText(widget, into) < 0 || into[0] === null ? null : textAt(into[0]!).slice(0, MAX_TEXT);
};

const choicesOf = (library: Gphoto2, widget: Pointer): string[] => {
  const count = Math.min(library.widgetChoices(widget), MAX_CHOICES);
  return Array.from({length: Math.max(0, count)}, (_, index) =>
    textFrom(into => library.widgetChoice(widget, index, into)),
  );
};

const rangeOf = (library: Gphoto2, widget: Pointer): Setting['range'] => {
  const [low, high, step] = [[0], [0], [0]];
  return library.widgetRange(widget, low!, high!, step!) < 0 ? null : {low: low![0]!, high: high![0]!, step: step![0]!};
};

/** Reads one widget of the library as plain values. The widget stays the caller's. */
export const settingOf = (library: Gphoto2, widget: Pointer, name: string): Setting => {
  const type = kindOf(library, widget);
  return {
    name,
    type,
    readOnly: wholeFrom(into => library.widgetReadOnly(widget, into)) !== 0,
    value: currentValue(library, widget, type),
    choices: type === 'choice' ? choicesOf(library, widget) : [],
    range: type === 'range' ? rangeOf(library, widget) : null,
  };
};

/** Gives a widget its new value, in the form that its kind wants. @returns the library's code */
export const giveValue = (library: Gphoto2, widget: Pointer, value: string | number): number => {
  const type = kindOf(library, widget);
  if (type === 'range') return library.widgetSetReal(widget, [Number(value)]);
  if (type === 'toggle' || type === 'date') return library.widgetSetWhole(widget, [Math.round(Number(value))]);
  return library.widgetSetText(widget, String(value));
};

/** The names of all settings under a widget, for drivers that can't list them. */
export const namesUnder = (library: Gphoto2, widget: Pointer): string[] => {
  const count = library.widgetChildren(widget);
  if (count <= 0) return [textFrom(into => library.widgetName(widget, into))].filter(name => name !== '');
  return Array.from({length: count}, (_, index) => {
    const into: Pointer[] = [null];
    return library.widgetChild(widget, index, into) < 0 ? [] : namesUnder(library, into[0]!);
  }).flat();
};
