import {EventEmitter} from 'node:events';

/**
 * What Ink takes for its terminal. Ink writes whole frames to it (its `debug` mode), and the painter does the rest: so
 * rows are painted at absolute places, pictures lie over them, and black is black without asking React.
 */
export class InkStream extends EventEmitter {
  readonly isTTY = true;
  readonly writable = true;

  constructor(
    public columns: number,
    public rows: number,
    private readonly frame: (text: string) => void,
  ) {
    super();
    this.setMaxListeners(0);
  }

  write(text: string, done?: () => void): boolean {
    // Besides frames, Ink sends the cursor's switches at its end and empty texts to wait for.
    if (text !== '' && !/^\u001b\[\?25[hl]$/.test(text)) this.frame(text);
    if (typeof done === 'function') done();
    return true;
  }

  resize(columns: number, rows: number): void {
    this.columns = columns;
    this.rows = rows;
    this.emit('resize');
  }
}
