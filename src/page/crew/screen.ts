/** Time that a step takes, counted from the crew's own cue. A guide: lamp and meter decide. */
export interface Count {
  /** What the ring runs to, s: the file's own count or what the answer needs at the adverse end of its spread, whichever is longer. */
  readonly guide_s: number;
  /** Where the time is from, as a sentence. */
  readonly from: string;
  /** What the button says that starts it. */
  readonly cue: string;
  /** Said after the same time once more, when nobody has gone on. */
  readonly overdue: string;
}

/** One screen: what one pair of hands does, and how everybody sees that it was right. */
export interface Screen {
  readonly stage: 'check' | 'step';
  readonly who: string;
  readonly does: string;
  /** A sentence under it. */
  readonly detail: string | undefined;
  /** What must show, by where one looks. */
  readonly shows: readonly { readonly where: 'Lamp' | 'Meter' | 'Sound' | 'Hand'; readonly what: string }[];
  readonly count: Count | undefined;
  /** What is known to go wrong here, before it is done. */
  readonly warning: string | undefined;
  /** First words when it does not show: why to stop. */
  readonly otherwise: string;
  /** How to take the machine back, in order. */
  readonly back: readonly string[];
}

export type Procedure = 'power up' | 'power down';
