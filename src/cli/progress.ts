import { printable } from './layout.ts';
import type { Terminal } from './terminal.ts';

/** Work shorter than this needs no word about it. */
const QUIET_ms = 500;
const BETWEEN_ms = 100;

/** A line on standard error that says how far the work is, while it is long and somebody looks. */
export function progressLine(terminal: Terminal): { readonly show: (done: number, of: number, what: string) => void; readonly clear: () => void } {
  const started = terminal.clock_ms();
  let last = -Infinity;
  return {
    show(done, of, what) {
      const now = terminal.clock_ms();
      if (!terminal.showsProgress || now - started < QUIET_ms || now - last < BETWEEN_ms) return;
      last = now;
      terminal.writeError(`\r\x1b[K${`${printable(what)}: ${done} of ${of}`.slice(0, terminal.columns - 1)}`);
    },
    clear() {
      if (last > -Infinity) terminal.writeError('\r\x1b[K');
      last = -Infinity;
    },
  };
}
