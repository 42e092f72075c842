import type { Answer, Item } from '../../questions/answer.ts';
import { decidingItem, joinUnits, limitWords, passesWords, spreadWords, valueWords } from '../../sheets/report/words.ts';
import { answers, SAMPLES } from '../store/answers.ts';
import { isMachine } from '../store/document.ts';
import { showInDrawing } from '../store/view.ts';
import { Changes } from './changes.tsx';
import { EvidenceView } from './evidence.tsx';
import { Mark } from './mark.tsx';

/** An answer with all that it says, shows and advises. */
export function AnswerView({ id }: { readonly id: string }) {
  const shown = answers.value.get(id);
  if (shown === undefined) return <p class="waiting">This question has not been answered yet.</p>;
  const { answer, stage, stale } = shown;
  return (
    <article class={`answer ${stale ? 'stale' : ''}`} aria-busy={stale}>
      <h2><Mark verdict={answer.verdict} /> <span>{answer.question}</span></h2>
      <div class="answer-body">
        <div class="answer-words">
          <p class="says">{joinUnits(answer.says)}</p>
          <p class="share">{shareOf(answer, stage, stale)}</p>
          {answer.refused === undefined ? null : <p class="trouble"><b>Refused:</b> {answer.refused}</p>}
          <Sentences title="What is missing" lines={answer.needs} />
          <Parts parts={answer.parts} />
          <Changes answer={answer} stage={stage} />
          <Sentences title="Caution" lines={answer.cautions} strong />
          <Sentences title="Not a problem on this machine" lines={answer.notAProblem} />
        </div>
        <div class="answer-shows">
          {[...answer.evidence].sort((a, b) => Number(a.type === 'table') - Number(b.type === 'table')).map((evidence) => <EvidenceView key={evidence.title} evidence={evidence} />)}
          <Items answer={answer} />
          {answer.basis.length === 0 ? null : (
            <details class="basis"><summary>What this rests on</summary><ul class="sentences">{answer.basis.map((line) => <li key={line}>{joinUnits(line)}</li>)}</ul></details>
          )}
        </div>
      </div>
    </article>
  );
}

function shareOf(answer: Answer, stage: string, stale: boolean): string {
  if (stale) return isMachine.value ? 'From before the edit: the new answer is on its way.' : 'From before the edit: the file has to be mended first.';
  const share = passesWords(answer.passes);
  if (stage === 'spread' && share !== '') return `Passes in ${share} of ${SAMPLES} spread samples.`;
  return stage === 'spread' ? '' : 'At the machine’s own values; the spread is still being run.';
}

function Sentences({ title, lines, strong = false }: { readonly title: string; readonly lines: readonly string[]; readonly strong?: boolean }) {
  if (lines.length === 0) return null;
  return <div class={strong ? 'caution' : ''}><h3>{title}</h3><ul class="sentences">{lines.map((line) => <li key={line}>{joinUnits(line)}</li>)}</ul></div>;
}

/** What the answer is about: each leads to the drawing and to its values. */
function Parts({ parts }: { readonly parts: readonly string[] }) {
  if (parts.length === 0) return null;
  return <p class="parts">In the drawing: {parts.map((part) => <button key={part} type="button" class="plain" onClick={() => showInDrawing(part)}>{part}</button>)}</p>;
}

function Items({ answer }: { readonly answer: Answer }) {
  if (answer.items.length === 0) return null;
  const decides = decidingItem(answer);
  return (
    <figure class="items">
      <figcaption>Each one</figcaption>
      <ul>{answer.items.map((item) => <ItemRow key={`${item.where} ${item.measure}`} item={item} decides={item === decides} />)}</ul>
    </figure>
  );
}

function ItemRow({ item, decides }: { readonly item: Item; readonly decides: boolean }) {
  const { figure } = item;
  const words = figure === undefined ? '' : `${valueWords(figure.value, figure.dimension)} ${item.measure}`;
  const spread = figure === undefined ? '' : spreadWords(figure);
  const details = [limitWords(item), spread === '' ? undefined : `spread ${spread}`, passesWords(item.passes) === '' ? undefined : `passes ${passesWords(item.passes)}`].filter((word) => word !== undefined);
  return (
    <li>
      <Mark verdict={item.verdict} />
      <div>
        <p><b>{item.where}</b>{item.slip ? ' (only by a slip of the crew)' : ''}{decides ? ', which decides' : ''}</p>
        {words === '' ? null : <p class="figures"><b>{joinUnits(words)}</b>{details.length === 0 ? '' : `, ${joinUnits(details.join(', '))}`}</p>}
        <p class="says-item">{joinUnits(item.says)}</p>
      </div>
    </li>
  );
}
