import {Box, useWindowSize} from 'ink';
import {type ReactNode, useMemo, useSyncExternalStore} from 'react';
import type {Session} from '../shoot/state.js';
import {StageContext} from './context.js';
import {type Layout, LEAST_COLUMNS, LEAST_ROWS, layoutOf} from './layout.js';
import type {Model, View} from './model.js';
import {PaletteContext, paletteOf} from './palette.js';
import {Countdown} from './parts/countdown.js';
import {DialogView} from './parts/dialogs.js';
import {Footer, messageRows} from './parts/footer.js';
import {Header} from './parts/header.js';
import {ColumnContext} from './parts/row.js';
import {Say} from './parts/say.js';
import {Waiting} from './parts/waiting.js';
import {AttemptPlace} from './places/attempt.js';
import {LookBack} from './places/look-back.js';
import {Plan} from './places/plan.js';
import {Plates} from './places/plates.js';
import {Wrap} from './places/wrap.js';
import type {Depth} from './terminal/depth.js';
import type {Painter} from './terminal/painter.js';
import type {TerminalAbility} from './terminal/talk.js';

/** The one sentence for a window that is too small. */
export const tooSmall = (columns: number, rows: number): string =>
  `This window is ${columns} × ${rows}; darkset needs ${LEAST_COLUMNS} × ${LEAST_ROWS}. Make it larger, and it goes on.`;

const Place = ({view, layout}: {view: View; layout: Layout}): ReactNode => {
  const {ui, state} = view;
  if (ui.dialog) return <DialogView dialog={ui.dialog} ui={ui} state={state} layout={layout} />;
  switch (ui.place) {
    case 'plan':
      return <Plan ui={ui} state={state} layout={layout} />;
    case 'plates':
      return <Plates ui={ui} state={state} layout={layout} />;
    case 'attempt':
      return <AttemptPlace ui={ui} state={state} layout={layout} />;
    case 'look back':
      return <LookBack ui={ui} state={state} layout={layout} />;
    case 'wrap':
      return <Wrap ui={ui} state={state} layout={layout} />;
  }
};

const Screen = ({view, layout}: {view: View; layout: Layout}): ReactNode => {
  const {activity} = view.state;
  // The painter keeps the screen black meanwhile; nothing is drawn that could come up afterwards.
  if (activity.kind === 'open') return null;
  if (activity.kind === 'waiting for a file') {
    return <Waiting say={activity.say} columns={layout.columns} rows={layout.rows} />;
  }
  if (activity.kind === 'countdown') {
    return (
      <Box flexDirection="column">
        <Countdown activity={activity} columns={layout.columns} rows={layout.rows - 1} />
        <Box paddingLeft={1}>
          <Say rank="faint">Esc or Page Up stops; the shutter then stays closed</Say>
        </Box>
      </Box>
    );
  }
  return (
    <>
      <Header ui={view.ui} state={view.state} />
      <Box height={layout.bodyRows} flexShrink={0} overflow="hidden">
        <Place view={view} layout={layout} />
      </Box>
      <Footer ui={view.ui} state={view.state} />
    </>
  );
};

/** All the screens. */
export const App = ({
  model,
  session,
  painter,
  ability,
  depth,
}: {
  model: Model;
  session: Session;
  painter: Painter;
  ability: TerminalAbility;
  depth: Depth;
}): ReactNode => {
  const view = useSyncExternalStore(model.subscribe, model.view);
  const {columns, rows} = useWindowSize();
  const lines = messageRows(view, columns);
  const layout = useMemo(() => layoutOf(columns, rows, lines), [columns, rows, lines]);
  const isSmall = columns < LEAST_COLUMNS || rows < LEAST_ROWS;
  const forcedNight = view.state.activity.kind === 'waiting for a file';
  const name = forcedNight ? 'night' : view.ui.palette;
  const palette = useMemo(() => paletteOf(name, depth), [name, depth]);
  const stage = useMemo(() => ({session, painter, ability}), [session, painter, ability]);
  return (
    <StageContext.Provider value={stage}>
      <PaletteContext.Provider value={palette}>
        <Box
          width={columns}
          height={rows}
          flexDirection="column"
          overflow="hidden"
          {...(palette.background === undefined ? {} : {backgroundColor: palette.background})}
        >
          <ColumnContext.Provider value={columns}>
            {isSmall ? <Say wrap="wrap">{tooSmall(columns, rows)}</Say> : <Screen view={view} layout={layout} />}
          </ColumnContext.Provider>
        </Box>
      </PaletteContext.Provider>
    </StageContext.Provider>
  );
};
