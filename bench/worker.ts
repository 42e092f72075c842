// One thread of the benchmark's samples.
import { parentPort } from 'node:worker_threads';
import { SpreadK2 } from './problems.ts';

const spread = new SpreadK2();

parentPort?.on('message', ({ from, to, tolerance }: { from: number; to: number; tolerance: number }) => {
  let sum = 0;
  for (let sample = from; sample < to; sample++) sum += spread.run(sample, tolerance).peaks[0]!.value;
  parentPort?.postMessage(sum);
});
