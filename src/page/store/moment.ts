import { signal } from '@preact/signals';
import type { OwnedFigures } from '../workers/messages.ts';
import type { SituationLook } from '../../questions/states/look.ts';

/** A moment of a simulated run that the page looks at; without one it looks at the machine at rest. */
export interface Moment {
  /** The file that the run is of. */
  readonly text: string;
  /** `at 2.03 s of the power-up`. */
  readonly words: string;
  readonly look: (rest: SituationLook) => SituationLook;
  readonly figures: readonly OwnedFigures[];
}

export const moment = signal<Moment | undefined>(undefined);

/** Whether the page looks at a run. */
export const overTime = signal(false);
/** Whether a phone shows its curves in place of the drawing. */
export const curvesShown = signal(false);
