// Every switch state of a machine of eight isolators, every single failure in each, and every pair of failures in the
// states of its procedure; a process of its own, prints JSON.
import { Worker, isMainThread, parentPort, workerData } from 'node:worker_threads';
import { fileURLToPath } from 'node:url';
import { failuresOf } from '../src/machine/network/failures.ts';
import { buildNetwork } from '../src/machine/network/network.ts';
import { Setting } from '../src/machine/network/situation.ts';
import { limitsOf } from '../src/questions/soft-start-heat.ts';
import { everyFailure } from '../src/questions/states/every-failure.ts';
import { EverySituation } from '../src/questions/states/every-state.ts';
import { FailureStudy } from '../src/questions/states/failure-effects.ts';
import { PairSearch } from '../src/questions/states/failure-pairs.ts';
import { asking, presentSources, stateTable } from '../src/questions/states/state-table.ts';
import { branchesFile } from '../test/questions/branches.ts';
import { machineOf } from '../test/questions/machines.ts';

export interface MeasuredStates {
  readonly what: string;
  readonly time_ms: number;
  /** Processor time of all threads, ms: what is left of it when other work is in the way. */
  readonly processor_ms: number;
  readonly covered: number;
  readonly solved: number;
  readonly unsolved: number;
  /** Time that must not be passed, ms. */
  readonly gate_ms: number;
}

/** What one thread does: failures and rows with its number, counted by threads. */
interface Share {
  readonly what: 'failures' | 'pairs';
  readonly of: number;
  readonly number: number;
}

interface Count {
  readonly covered: number;
  readonly solved: number;
  readonly unsolved: number;
}

const THREADS = 2;
const ROUNDS = 10;
const PLAIN = branchesFile(8, { fused: true });
const SHARED = branchesFile(8, { softStart: 'shared', fused: true });
const pack = (network: ReturnType<typeof buildNetwork>): Uint8Array => presentSources(network.sources, [], []);

function since(before: NodeJS.CpuUsage): number {
  const { user, system } = process.cpuUsage(before);
  return (user + system) / 1000;
}

function failuresShare({ of, number }: Share): Count {
  const network = buildNetwork(machineOf(PLAIN));
  const setting = new Setting(network, network.inputs.nominal());
  let unsolved = 0;
  const failures = failuresOf(network).filter((_, k) => k % of === number);
  const count = everyFailure(setting, new EverySituation(setting), failures, pack(network), (_failure, _situation, classes) => {
    if (classes === undefined) unsolved++;
  });
  return { ...count, unsolved };
}

function pairsShare({ of, number }: Share): Count {
  const machine = machineOf(SHARED);
  const search = new PairSearch(new FailureStudy(machine, (resistor) => limitsOf({ machine }, resistor)));
  const rows = Array.from({ length: search.rows }, (_, k) => k).filter((k) => k % of === number).map((k) => search.row(k));
  return rows.reduce<Count>((sum, row) => ({ covered: sum.covered + row.covered, solved: sum.solved + row.solved, unsolved: sum.unsolved + row.unsolved }), { covered: 0, solved: 0, unsolved: 0 });
}

/** A thread that waits for its work, and then does it: starting it is not what is measured. */
function thread(share: Share): { readonly ready: Promise<unknown>; readonly run: () => Promise<Count>; readonly end: () => Promise<number> } {
  const worker = new Worker(fileURLToPath(import.meta.url), { workerData: share });
  const next = (): Promise<unknown> => new Promise((resolve) => worker.once('message', resolve));
  return {
    ready: next(),
    run: async () => {
      worker.postMessage('go');
      return (await next()) as Count;
    },
    end: () => worker.terminate(),
  };
}

async function onThreads(what: Share['what'], words: string, gate_ms: number): Promise<MeasuredStates> {
  const threads = Array.from({ length: THREADS }, (_, number) => thread({ what, of: THREADS, number }));
  await Promise.all(threads.map(({ ready }) => ready));
  const start = performance.now();
  const before = process.cpuUsage();
  const counts = await Promise.all(threads.map(({ run }) => run()));
  const time_ms = performance.now() - start;
  const processor_ms = since(before);
  await Promise.all(threads.map(({ end }) => end()));
  const sum = (of: keyof Count): number => counts.reduce((total, count) => total + count[of], 0);
  return { what: words, time_ms, processor_ms, covered: sum('covered'), solved: sum('solved'), unsolved: sum('unsolved'), gate_ms };
}

/** The same with motors that turn, and with the pack out: each state is to cost what it costs at rest. */
function turningStates(): MeasuredStates[] {
  const network = buildNetwork(machineOf(PLAIN));
  const motors = network.sources.flatMap(({ kind, part }) => (kind === 'spinning motor' ? [part] : []));
  const each = (what: string, out: readonly string[], turning: readonly string[]): MeasuredStates => {
    const asked = asking(machineOf(PLAIN));
    const present = presentSources(asked.network.sources, out, turning);
    let best: MeasuredStates | undefined;
    for (let round = 0; round < ROUNDS; round++) {
      const start = performance.now();
      const before = process.cpuUsage();
      // Every state solved: what equal branches spare would differ from case to case.
      const { rows, states, unsolved } = stateTable(asked, present, { equalBranches: false });
      const time_ms = performance.now() - start;
      if (best === undefined || time_ms < best.time_ms) best = { what, time_ms, processor_ms: since(before), covered: states, solved: rows.length, unsolved, gate_ms: 1000 };
    }
    return best!;
  };
  return [
    each('all 256 states again, warm', [], []),
    each('all 256 states, one motor turning', [], motors.slice(0, 1)),
    each('all 256 states, eight motors turning', [], motors),
    each('all 256 states, pack out, eight motors turning', ['G1'], motors),
  ];
}

function allStates(): MeasuredStates {
  const start = performance.now();
  const before = process.cpuUsage();
  const asked = asking(machineOf(PLAIN));
  const { rows, states, unsolved } = stateTable(asked, pack(asked.network), { equalBranches: false });
  return { what: 'all 256 states', time_ms: performance.now() - start, processor_ms: since(before), covered: states, solved: rows.length, unsolved, gate_ms: 1000 };
}

if (isMainThread) {
  const measured = [
    allStates(),
    ...turningStates(),
    await onThreads('failures', 'all states × all single failures, two threads', 1000),
    await onThreads('pairs', 'all pairs of failures in the procedure, two threads', 30_000),
  ];
  console.log(JSON.stringify(measured));
} else {
  const share = workerData as Share;
  parentPort!.once('message', () => {
    parentPort!.postMessage(share.what === 'failures' ? failuresShare(share) : pairsShare(share));
  });
  parentPort!.postMessage('ready');
}
