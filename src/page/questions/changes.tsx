import { useSignal } from '@preact/signals';
import type { Advice, Answer } from '../../questions/answer.ts';
import { editWords, joinUnits } from '../../sheets/report/words.ts';
import type { Stage } from '../workers/messages.ts';
import { applyEdits } from '../store/document.ts';
import { Mark } from './mark.tsx';

/** What to change, each with the verdict that it leads to and a button that makes it. */
export function Changes({ answer, stage }: { readonly answer: Answer; readonly stage: Stage }) {
  if (answer.verdict === 'good') return null;
  if (stage === 'first') return <p class="waiting">What would help is being tried out …</p>;
  if (answer.advice.length === 0) return null;
  return (
    <div class="changes">
      <h3>What to change</h3>
      <ol>{answer.advice.map((advice) => <Change key={advice.what} advice={advice} />)}</ol>
    </div>
  );
}

function Change({ advice }: { readonly advice: Advice }) {
  const trouble = useSignal<string | undefined>(undefined);
  const apply = async (): Promise<void> => {
    const refused = await applyEdits(advice.edits, advice.what);
    const [issue] = refused?.issues ?? [];
    trouble.value = refused === undefined ? undefined : (refused.why ?? (issue === undefined ? 'it does not fit the file' : `line ${issue.line}: expected ${issue.expected}, found ${issue.found}`));
  };
  return (
    <li>
      <p class="what">{joinUnits(advice.what)}{advice.free ? ' (costs nothing)' : ''}</p>
      <p class="again"><Mark verdict={advice.verdict} quiet /> <b>{advice.verdict}</b>: {joinUnits(advice.says)}</p>
      {advice.caution === undefined ? null : <p class="caution">Caution: {joinUnits(advice.caution)}</p>}
      <p><button type="button" class="act" onClick={() => void apply()}>Apply</button> <code>{advice.edits.map(editWords).join('; ')}</code></p>
      {trouble.value === undefined ? null : <p class="trouble" role="alert">Not changed: {trouble.value}.</p>}
    </li>
  );
}
