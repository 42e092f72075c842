import { LANES, laneOf, type Lane } from './lanes.ts';
import type { AskMessage, AskReport, RecordsMessage } from './messages.ts';

/** What the workers of one machine say, whichever of them says it; `done` once all have. */
export type Told = Exclude<AskReport, { readonly report: 'records' | 'no machine' }>;

/** How long what is not looked at waits for what is. */
const HELD_MS = 80;

/** The two workers that answer the questions of one machine. */
export class Askers {
  private readonly workers = new Map<Lane, Worker>();
  /** Lanes that are still at work on the request. */
  private readonly busy = new Set<Lane>();
  private request = 0;
  /** What waits until the answer that is looked at is there. */
  private held: AskMessage[] = [];

  constructor(private readonly told: (report: Told) => void) {}

  /** Asks everything anew; what was under way ends. */
  ask(message: Omit<AskMessage, 'request' | 'lane'>): void {
    this.request += 1;
    const request = this.request;
    const looked = message.first === undefined ? undefined : laneOf(message.first);
    for (const lane of LANES) this.busy.add(lane);
    this.held = LANES.filter((lane) => looked !== undefined && lane !== looked).map((lane) => ({ ...message, request, lane }));
    for (const lane of LANES) if (looked === undefined || lane === looked) this.send(lane, { ...message, request, lane });
    // The answer that is looked at has the machine to itself, but not for long.
    if (this.held.length > 0) setTimeout(() => request === this.request && this.letGo(), HELD_MS);
  }

  private letGo(): void {
    for (const message of this.held) this.send(message.lane, message);
    this.held = [];
  }

  stop(): void {
    this.request += 1;
    this.held = [];
    for (const worker of this.workers.values()) worker.terminate();
    this.workers.clear();
    this.busy.clear();
  }

  /** Loads the workers before there is something to ask. */
  warmUp(): void {
    for (const lane of LANES) this.worker(lane);
  }

  private send(lane: Lane, message: AskMessage | RecordsMessage): void {
    this.worker(lane).postMessage(message);
  }

  private worker(lane: Lane): Worker {
    const known = this.workers.get(lane);
    if (known !== undefined) return known;
    const made = new Worker(new URL('./asking.worker.ts', import.meta.url), { type: 'module' });
    made.onmessage = ({ data }: MessageEvent<AskReport>) => {
      if (data.request === this.request) this.take(data, lane);
    };
    made.onerror = (event) => {
      this.told({ request: this.request, report: 'fault', message: event.message });
      this.end(lane);
    };
    this.workers.set(lane, made);
    return made;
  }

  private take(report: AskReport, lane: Lane): void {
    switch (report.report) {
      case 'records':
        this.send('match', { request: report.request, records: report.records });
        return;
      case 'done':
      case 'no machine':
        this.end(lane);
        return;
      default:
        this.told(report);
        this.letGo();
    }
  }

  private end(lane: Lane): void {
    this.busy.delete(lane);
    if (this.busy.size === 0) this.told({ request: this.request, report: 'done' });
  }
}
