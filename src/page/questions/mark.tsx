import type { Verdict } from '../../questions/answer.ts';
import { markSvg } from '../../sheets/report/mark.ts';

/** A verdict's mark: told apart by its shape. `quiet` where its word stands beside it. */
export function Mark({ verdict, quiet = false }: { readonly verdict: Verdict; readonly quiet?: boolean }) {
  return <span class="mark-place" aria-hidden={quiet} dangerouslySetInnerHTML={{ __html: markSvg(verdict) }} />;
}
