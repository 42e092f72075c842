import { quoted } from '../../quantity/scan.ts';
import type { Step } from '../machine.ts';
import type { Issues, Place } from './issue.ts';

export interface PlacedStep {
  readonly step: Step;
  readonly about: { readonly field: string };
  readonly at: Place;
}

/** Where a step leaves its part, and the words that undo it. */
const LEAVES: Readonly<Record<string, { readonly state: string; readonly undone: string }>> = {
  close: { state: 'closed', undone: 'open' }, open: { state: 'open', undone: 'close' },
  press: { state: 'pressed', undone: 'release' }, release: { state: 'let go', undone: 'press' },
  insert: { state: 'in', undone: 'remove' }, remove: { state: 'out', undone: 'insert' },
  connect: { state: 'together', undone: 'disconnect' }, disconnect: { state: 'apart', undone: 'connect' },
};

/**
 * Asks about a step that finds its part as it leaves it, and about a button that stays pressed: a crew that lets it go
 * without being told to is a crew that forgets it.
 * @param toTheEnd  whether what is pressed has to be let go in these steps
 */
export function checkOrder(steps: readonly PlacedStep[], toTheEnd: boolean, issues: Issues): void {
  const standing = new Map<string, { readonly state: string; readonly placed: PlacedStep }>();
  for (const placed of steps) {
    const { step } = placed;
    if (!('part' in step)) continue;
    // A button that is held is let go at the end of its time.
    if (step.act === 'hold') {
      standing.delete(step.part);
      continue;
    }
    const leaves = step.act === 'turn' ? { state: `at ${step.position}`, undone: 'a turn away' } : LEAVES[step.act];
    if (leaves === undefined) continue;
    const before = standing.get(step.part);
    if (before?.state === leaves.state)
      issues.question(placed.at, placed.about, `${step.act === 'turn' ? leaves.undone : quoted(`${leaves.undone} ${step.part}`)} before this`, `${quoted(step.text)}, and ${step.part} is ${leaves.state} since line ${before.placed.at.line}`);
    standing.set(step.part, { state: leaves.state, placed });
  }
  if (!toTheEnd) return;
  for (const [part, { state, placed }] of standing)
    if (state === 'pressed') issues.question(placed.at, placed.about, `${quoted(`release ${part}`)} later in the procedure`, `${quoted(placed.step.text)} and no more of ${part}`, `or write ${quoted(`hold ${part} for 2 s`)}`);
}
