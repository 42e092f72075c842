import type { Block, Table } from '../../sheets/document/document.ts';
import type { Verdict } from '../../questions/answer.ts';
import { joinUnits, VERDICTS } from '../../sheets/report/words.ts';
import { Mark } from '../questions/mark.tsx';
import { DEMOS, demoText } from '../store/demos.ts';
import { earlier, good } from '../store/document.ts';
import { textOf } from '../store/files.ts';
import { go } from '../store/view.ts';
import { compared, compareWith, other, otherProgress, pending, stopComparing, trouble, type ChangedAnswer } from './other.ts';

/** Steps back that are offered; older ones are reached by undoing. */
const MOST_EARLIER = 8;

/** Two versions of a machine: what differs, and what that does to the answers. */
export function Compare() {
  const machine = good.value;
  return (
    <div class="compare">
      <header class="compare-head">
        <h1>What has changed</h1>
        <span>{other.value === undefined ? null : <button type="button" class="plain" onClick={stopComparing}>Compare with another</button>} <button type="button" class="plain" onClick={() => { stopComparing(); go('questions'); }}>Leave</button></span>
      </header>
      {trouble.value === undefined ? null : <p class="trouble" role="alert">{trouble.value}</p>}
      {machine === undefined ? <p class="waiting">There is no machine yet.</p> : other.value === undefined ? <Choose name={machine.machine.name} /> : <Result />}
    </div>
  );
}

function Choose({ name }: { readonly name: string }) {
  const steps = earlier.value.slice(-MOST_EARLIER).reverse();
  const first = earlier.value[0];
  return (
    <div class="compare-choose">
      <p>{name} as it stands now, compared with</p>
      <h2>itself, earlier</h2>
      {first === undefined ? <p class="waiting">It has not been edited since it was opened.</p> : (
        <ul>
          <li><button type="button" onClick={() => void compareWith(first.text, `${name} as it was opened`)}>As it was opened</button></li>
          {steps.map(({ text, undoes }, k) => <li key={k}><button type="button" onClick={() => void compareWith(text, `${name} before: ${undoes}`)}>Before: {undoes}</button></li>)}
        </ul>
      )}
      <h2>a file or a share page</h2>
      <p><input type="file" accept=".yaml,.yml,.html,.txt" aria-label="Machine file or share page to compare with" onChange={(event) => {
        const [file] = event.currentTarget.files ?? [];
        if (file !== undefined) void textOf(file).then((found) => ('why' in found ? void (trouble.value = found.why) : compareWith(found.text, file.name)));
      }} /></p>
      <h2>a demo</h2>
      <ul class="compare-demos">{DEMOS.map((demo) => {
        const words = demo.replace(/\.yaml$/, '').toUpperCase();
        return <li key={demo}><button type="button" onClick={() => void demoText(demo).then((text) => compareWith(text, words))}>{words}</button></li>;
      })}</ul>
    </div>
  );
}

function Result() {
  const found = compared.value;
  const now = good.value;
  if (found === undefined || now === undefined) return null;
  const changed = found.answers.filter((one) => one.changed);
  const same = found.answers.filter((one) => !one.changed);
  return (
    <div class="compare-body">
      <p class="compare-sides"><span><b>Before</b> {other.value?.name}</span> <span><b>Now</b> {now.machine.name} as it stands</span></p>
      <p class="headline" role="status">{headline(changed, found.paper.blocks)}</p>
      <p class="waiting">{progressWords()}</p>
      <section aria-label="Answers">
        <h2>Answers</h2>
        {changed.length === 0 ? <p>None differs so far.</p> : <ul class="compare-answers">{[...changed].sort((a, b) => concern(b) - concern(a)).map((one) => <Changed key={one.question} one={one} />)}</ul>}
        {same.length === 0 ? null : (
          <details>
            <summary>{same.length === 1 ? 'One answer is the same' : `${same.length} answers are the same`}</summary>
            <ul class="compare-same">{same.map(({ question, is }) => <li key={question}><Mark verdict={is.verdict as Verdict} /> <span><b>{question}</b> {joinUnits(is.words)}</span></li>)}</ul>
          </details>
        )}
      </section>
      {found.paper.blocks.map((block, k) => <BlockView key={k} block={block} />)}
    </div>
  );
}

function Changed({ one: { question, was, is } }: { readonly one: ChangedAnswer }) {
  return (
    <li>
      <h3>{question}</h3>
      <div class="compare-pair"><Side name="Before" of={was} /><Side name="Now" of={is} /></div>
    </li>
  );
}

function Side({ name, of: { verdict, words } }: { readonly name: string; readonly of: ChangedAnswer['was'] }) {
  const known = VERDICTS.find((one) => one === verdict);
  return <p><span class="compare-when">{name}</span> {known === undefined ? null : <Mark verdict={known} quiet />} <b>{verdict}</b> <span>{joinUnits(words)}</span></p>;
}

function BlockView({ block }: { readonly block: Block }) {
  if (block.type === 'table') return <TableView table={block} />;
  return block.type === 'paragraph' ? <p class="about">{block.text}</p> : null;
}

/** A table on a laptop, a list of pairs on a phone: each cell carries its column's name. */
function TableView({ table: { title, columns, rows } }: { readonly table: Table }) {
  return (
    <section aria-label={title}>
      <h2>{title} <span class="about">{rows.length === 1 ? 'one differs' : `${rows.length} lines`}</span></h2>
      <table class="compare-table">
        <thead><tr>{columns.map(({ name }) => <th key={name} scope="col">{name}</th>)}</tr></thead>
        <tbody>{rows.map((row, r) => (
          <tr key={r} class={row[1] === row[2] ? 'same' : ''}>{row.map((cell, c) => (c === 0 ? <th key={c} scope="row">{cell}</th> : <td key={c}><span class="compare-when">{columns[c]?.name}</span> {joinUnits(cell)}</td>))}</tr>
        ))}</tbody>
      </table>
    </section>
  );
}

/** Above 0 where it got worse, by the order of concern. */
function turn({ was, is }: ChangedAnswer): number {
  return VERDICTS.indexOf(was.verdict as Verdict) - VERDICTS.indexOf(is.verdict as Verdict);
}

/** What got worse is read first, then what got better, then figures alone. */
function concern(one: ChangedAnswer): number {
  return turn(one) > 0 ? 2 : turn(one) < 0 ? 1 : 0;
}

function headline(changed: readonly ChangedAnswer[], blocks: readonly Block[]): string {
  const [worse, better] = [changed.filter((one) => turn(one) > 0).length, changed.filter((one) => turn(one) < 0).length];
  const values = blocks.reduce((sum, block) => sum + (block.type === 'table' && block.title !== 'Procedure' ? block.rows.length : 0), 0);
  const verdicts = worse + better === 0 ? 'No verdict differs' : [...(worse === 0 ? [] : [`${worse} worse`]), ...(better === 0 ? [] : [`${better} better`])].join(', ');
  const figures = changed.length - worse - better;
  return `${verdicts}${figures === 0 ? '' : `; ${figures === 1 ? 'one other figure' : `${figures} other figures`}`}; ${values === 0 ? 'no part or wire' : values === 1 ? 'one part or wire' : `${values} parts, values and wires`} changed.`;
}

function progressWords(): string {
  if (pending.value === 0) return 'Both versions were asked the same questions, with the same samples.';
  const now = otherProgress.value;
  return now === undefined ? 'Both versions are being asked …' : `${pending.value} answers still wait for the spread: ${now.done} of ${now.of} samples.`;
}
