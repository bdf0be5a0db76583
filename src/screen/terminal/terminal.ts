const CSI = '\u001b[';

/** Alternate screen, cursor hidden, no wrapping at the right edge, pasted text marked as such. */
const ENTER = `${CSI}?1049h${CSI}?25l${CSI}?7l${CSI}?2004h${CSI}0m${CSI}2J`;
const LEAVE = `${CSI}?2026l${CSI}0m${CSI}?2004l${CSI}?7h${CSI}?1049l${CSI}?25h`;
/** Progressive keyboard protocol: disambiguate, press/repeat/release, every key, and what it types (1 + 2 + 8 + 16). */
const TELL_KEY_EVENTS = `${CSI}>27u`;
const TELL_NO_MORE = `${CSI}<u`;

export type Terminal = {
  /** From now on the terminal tells press, repeat and release apart. */
  tellKeyEvents(): void;
  /** After the program was stopped and goes on. */
  enterAgain(): void;
  /** Leaves the terminal as it was. Also done when the process ends in any other way. */
  leave(): void;
};

/** Takes the terminal for the screens. */
export const enterTerminal = (stdout: NodeJS.WriteStream, stdin: NodeJS.ReadStream): Terminal => {
  let inside = true;
  let tells = false;
  const enter = (): void => {
    stdin.setRawMode(true);
    stdout.write(ENTER);
    if (tells) stdout.write(TELL_KEY_EVENTS);
  };
  const leave = (): void => {
    if (!inside) return;
    inside = false;
    process.off('exit', leave);
    process.off('uncaughtExceptionMonitor', leave);
    try {
      stdout.write(`${tells ? TELL_NO_MORE : ''}${LEAVE}`);
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
    enterAgain: () => {
      if (inside) enter();
    },
    leave,
  };
};
