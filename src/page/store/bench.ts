import { callerOf } from '../workers/caller.ts';
import type { BenchAnswers, BenchRequest } from '../workers/messages.ts';

const call = callerOf<BenchRequest, BenchAnswers[BenchRequest['does']]>(() => new Worker(new URL('../workers/bench.worker.ts', import.meta.url), { type: 'module' }));

/** Reads, edits and looks at the machine off the main thread; each of them is answered in a blink. */
export async function bench<Does extends BenchRequest['does']>(request: Extract<BenchRequest, { does: Does }>): Promise<BenchAnswers[Does]> {
  // The worker answers what it is asked: the reply has the type that belongs to the request.
  return (await call(request)) as BenchAnswers[Does];
}
