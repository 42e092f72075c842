/** Why numbers are refused. */
export interface Refusal {
  readonly cause:
    | 'the circuit has no consistent state'
    | 'the step collapsed'
    | 'too many steps'
    | 'too many events at one moment'
    | 'a value left the finite numbers'
    | 'the energy balance does not close';
  readonly time: number;
  /** The unknown or part that shows it worst. */
  readonly where: string;
  readonly detail: string;
}

export interface Statistics {
  steps: number;
  rejected: number;
  evaluations: number;
  events: number;
  projections: number;
}

/** A result that can be trusted, or the reason why there is none. */
export type Outcome<Result> =
  | { readonly status: 'done'; readonly result: Result; readonly statistics: Statistics }
  | { readonly status: 'refused'; readonly refusal: Refusal; readonly partial?: Result; readonly statistics: Statistics };
