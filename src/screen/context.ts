import {createContext, useContext} from 'react';
import type {Session} from '../shoot/state.js';
import type {Painter} from './terminal/painter.js';
import {plainTerminal, type TerminalAbility} from './terminal/talk.js';

/** What the components reach beside their props. */
export type Stage = {session: Session; painter: Painter | null; ability: TerminalAbility};

const nobody: Session = {
  state: () => {
    throw new Error('There is no session here.');
  },
  subscribe: () => () => {},
  send: () => {},
  now: () => 0,
  picture: () => Promise.reject(new Error('There is no session here.')),
  close: () => Promise.resolve(),
};

export const StageContext = createContext<Stage>({session: nobody, painter: null, ability: plainTerminal});

export const useStage = (): Stage => useContext(StageContext);
