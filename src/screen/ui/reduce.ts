import type {Ui, UiAction} from './state.js';

/** The screens after an action. */
export const reduceUi = (ui: Ui, action: UiAction): Ui => {
  switch (action.kind) {
    case 'go to':
      return ui.place === action.place ? ui : {...ui, place: action.place, dialog: null, view: 'picture'};
    case 'palette':
      return {...ui, palette: action.name, paletteChosen: ui.paletteChosen || action.chosen};
    case 'dialog':
      return {...ui, dialog: action.dialog};
    case 'marks':
      return {...ui, marks: !ui.marks};
    case 'view':
      return {...ui, view: ui.view === 'picture' ? 'histogram' : 'picture'};
    case 'plan':
      return {...ui, plan: {...ui.plan, ...action.change}};
    case 'plates':
      return {...ui, plates: {...ui.plates, ...action.change}};
    case 'look back':
      return {...ui, lookBack: {...ui.lookBack, ...action.change}};
    case 'wrap':
      return {...ui, wrap: {...ui.wrap, ...action.change}};
    case 'notice':
      return ui.notice === action.say ? ui : {...ui, notice: action.say};
    case 'closing':
      return {...ui, closing: true, dialog: null};
  }
};
