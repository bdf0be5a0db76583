const CSI = '\u001b[';

/** Alternate screen, cursor hidden, no wrapping at the right edge, pasted text marked as such. */
const ENTER = `${CSI}?1049h${CSI}?25l${CSI}?7l${CSI}?2004h${CSI}0m${CSI}2J`;
const LEAVE = `${CSI}?2026l${CSI}0m${CSI}?2004l${CSI}?7h${CSI}?1049l${CSI}?25h`;
/** Progressive keyboard protocol: disambiguate, press/repeat/release, every key, and what it types (1 + 2 + 8 + 16). */
const TELL_KEY_EVENTS = `${CSI}>27u`;
const TELL_NO_MORE = `${CSI}<u`;

const BLACK = 'rgb:0000/0000/0000';
/** OSC 11 of xterm: the colour behind cells without one of their own, and around all cells. */
const setBackground = (colour: string): string => `\u001b]11;${colour}\u001b\\`;

export type Terminal = {
  /** From now on the terminal tells press, repeat and release apart. */
  tellKeyEvents(): void;
  /** Paints the margin around the cells black too, until the end; a bright one would light the room. */
  darkMargins(own: string): void;
  /** After the program was stopped and goes on. */
  enterAgain(): void;
  /** Leaves the terminal as it was. Also done when the process ends in any other way. */
  leave(): void;
};

/** Takes the terminal for the screens. */
export const enterTerminal = (stdout: NodeJS.WriteStream, stdin: NodeJS.ReadStream): Terminal => {
  let inside = true;
  let tells = false;
  /** The terminal's own background, to be given back. */
  let background: string | null = null;
  const enter = (): void => {
    stdin.setRawMode(true);
    stdout.write(ENTER);
    if (tells) stdout.write(TELL_KEY_EVENTS);
    if (background !== null) stdout.write(setBackground(BLACK));
  };
  const leave = (): void => {
    if (!inside) return;
    inside = false;
    process.off('exit', leave);
    process.off('uncaughtExceptionMonitor', leave);
    try {
      const giveBack = background === null ? '' : setBackground(background);
      stdout.write(`${tells ? TELL_NO_MORE : ''}${giveBack}${LEAVE}`);
      stdin.setRawMode(false);
      stdin.pause();
      stdin.unref();
    } catch {
      // The terminal is gone; there is nothing to leave in order.
    }
  };
  enter();
  process.on('exit', leave);
  process.on('uncaughtExceptionMonitor', leave);
  return {
    tellKeyEvents: () => {
      tells = true;
      if (inside) stdout.write(TELL_KEY_EVENTS);
    },
    darkMargins: own => {
      background = own;
      if (inside) stdout.write(setBackground(BLACK));
    },
    enterAgain: () => {
      if (inside) enter();
    },
    leave,
  };
};
