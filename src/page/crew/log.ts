import { signal } from '@preact/signals';
import { saveText } from '../store/save.ts';

/** One power-up or power-down, as it was done. */
export interface LogLine {
  readonly id: string;
  /** ISO 8601, when it ended. */
  readonly time: string;
  readonly machine: string;
  /** Of the machine file that was read out. */
  readonly fingerprint: string;
  readonly what: 'power up' | 'power down';
  /** `done`, or where it was stopped. */
  readonly outcome: string;
  readonly took_s: number;
  /** What was held, from the cue until the crew went on. */
  readonly holds: readonly { readonly step: string; readonly held_s: number; readonly guide_s: number }[];
  readonly note: string;
}

/** Where lines go. The browser's own storage; a file beside a bound machine file would be another. */
export interface LogPlace {
  readonly name: string;
  read(): readonly LogLine[];
  write(lines: readonly LogLine[]): void;
}

const KEPT = 'ampwright crew log';
/** The oldest beyond these are let go. */
const MOST_LINES = 500;

export const BROWSER_LOG: LogPlace = {
  name: 'this browser',
  read() {
    const found: unknown = JSON.parse(localStorage.getItem(KEPT) ?? '[]');
    return Array.isArray(found) ? found.filter(isLine) : [];
  },
  write(lines) {
    localStorage.setItem(KEPT, JSON.stringify(lines));
  },
};

export const log = signal<readonly LogLine[]>([]);
/** Why a line could not be kept. */
export const logTrouble = signal<string | undefined>(undefined);

let place = BROWSER_LOG;

/** Takes up the log as it is kept. */
export function openLog(from: LogPlace = BROWSER_LOG): void {
  place = from;
  try {
    log.value = from.read();
  } catch (error) {
    logTrouble.value = error instanceof Error ? error.message : String(error);
  }
}

/** Puts a line in, or in the place of the one with its id. */
export function keepLine(line: LogLine): void {
  const lines = [...log.peek().filter(({ id }) => id !== line.id), line].slice(-MOST_LINES);
  log.value = lines;
  try {
    place.write(lines);
    logTrouble.value = undefined;
  } catch (error) {
    logTrouble.value = error instanceof Error ? error.message : String(error);
  }
}

/** `2026-11-25 14:02, CRUSH10S (0f3k…), power up: done in 48 s; held Drive isolator Q1 to CHARGE 2.3 s` */
export function lineWords({ time, machine, fingerprint, what, outcome, took_s, holds, note }: LogLine): string {
  const held = holds.map(({ step, held_s }) => `; ${step}: held ${held_s.toFixed(1)} s`).join('');
  return `${time.slice(0, 16).replace('T', ' ')} UTC, ${machine} (${fingerprint}), ${what}: ${outcome} after ${Math.round(took_s)} s${held}${note === '' ? '' : `; ${note}`}`;
}

/** Hands the log to the browser to be saved as a text. */
export function saveLog(): void {
  saveText('power-log.txt', `${log.peek().map(lineWords).join('\n')}\n`, 'text/plain');
}

function isLine(line: unknown): line is LogLine {
  if (typeof line !== 'object' || line === null) return false;
  const one = line as Record<string, unknown>;
  return ['id', 'time', 'machine', 'fingerprint', 'what', 'outcome', 'note'].every((name) => typeof one[name] === 'string') && typeof one['took_s'] === 'number' && Array.isArray(one['holds']);
}
