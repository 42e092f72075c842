import type { Verdict } from '../../questions/answer.ts';

/** More ink, more concern: the shapes differ before the colours do. */
const SHAPES = {
  good: '<circle class="stroke" cx="12" cy="12" r="9"/><path class="stroke" d="M7.5 12.5l3 3l6-7"/>',
  marginal: '<path class="warn" d="M12 1.5L22.5 12L12 22.5L1.5 12Z"/><path class="hole" d="M12 4.6L19 11.6H5Z"/>',
  bad: '<path class="warn" d="M2 2H22V22H2Z"/><path class="cut" d="M8 8l8 8M16 8l-8 8"/>',
  'cannot tell': '<circle class="stroke broken" cx="12" cy="12" r="9"/><path class="stroke" d="M9.3 9.6a2.8 2.8 0 1 1 4 2.6c-.9.4-1.3.9-1.3 1.7"/><circle class="dot" cx="12" cy="16.8" r="1.3"/>',
} as const satisfies Readonly<Record<Verdict, string>>;

/** The verdict's mark as a picture whose accessible name is its word. */
export function markSvg(verdict: Verdict): string {
  return `<svg class="mark" viewBox="0 0 24 24" role="img" aria-label="${verdict}">${SHAPES[verdict]}</svg>`;
}

/** The mark with its word beside it; the picture is then silent, so that the word is read once. */
export function markAndWord(verdict: Verdict): string {
  return `<span class="verdict"><svg class="mark" viewBox="0 0 24 24" aria-hidden="true">${SHAPES[verdict]}</svg> ${verdict}</span>`;
}
