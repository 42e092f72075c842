import type { Closing } from '../machine/circuit/power-up.ts';
import { positionsBefore } from '../machine/circuit/positions.ts';
import type { Step } from '../machine/machine.ts';
import type { Verdict } from './answer.ts';
import { judgeClosing, type ClosingMeasures, type ContactJudgement } from './contact-judgement.ts';
import { contactData, runPowerUp, type PowerUpRun, type Underway } from './runs.ts';
import type { Study } from './study.ts';

/** One closing with its judgement. */
export interface JudgedClosing {
  readonly closing: Closing;
  readonly measures: ClosingMeasures;
  readonly judgement: ContactJudgement;
}

export function judged(base: Study, run: PowerUpRun, values = base.values): JudgedClosing[] {
  return run.closings.map(({ closing, measures }) => ({ closing, measures, judgement: judgeClosing(measures, contactData(base.circuit, closing.part, values)) }));
}

/** Verdict of a contact of the procedure as written. */
export function contactVerdict(base: Study, closing: Closing): Verdict {
  return judged(base, base.nominal).find((one) => one.closing === closing)?.judgement.verdict ?? 'cannot tell';
}

/** Runs a variant of the procedure, from where it first differs from what was run as written. */
export function runVariant(base: Study, steps: readonly Step[]): PowerUpRun {
  const at = takenUpAt(base, steps);
  const from = at === undefined ? undefined : underway(base, at);
  return runPowerUp(base.circuit, steps.slice(from === undefined ? 0 : at), base.values, undefined, from);
}

/** Bounces, and loads that are enabled a moment after a closing, are over by then, s. */
const CALM_S = 0.03;

/** The last step, shared with the procedure as written, before which nothing was going on but the charging of banks. */
function takenUpAt({ machine, circuit, nominal }: Study, steps: readonly Step[]): number | undefined {
  // The clocks of a coil's armature and economiser belong to their run.
  if (circuit.coils.length > 0) return undefined;
  if (nominal.closings.some(({ closing }) => closing.way.ramp !== undefined)) return undefined;
  let k = 0;
  while (k < steps.length - 1 && steps[k] === machine.powerUp[k]) k++;
  for (; k > 0; k--) {
    const begun = nominal.timeline.steps[k];
    if (begun?.state === undefined) continue;
    const { time_s } = begun;
    if (nominal.closings.every(({ closing }) => closing.step >= k || closing.time_s + CALM_S <= time_s)) return k;
  }
  return undefined;
}

function underway({ machine, nominal }: Study, at: number): Underway | undefined {
  const state = nominal.timeline.steps[at]?.state;
  return state === undefined ? undefined : { ...state, standing: positionsBefore(machine, machine.powerUp, at) };
}
