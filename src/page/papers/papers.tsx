import { signal } from '@preact/signals';
import { useEffect, useRef } from 'preact/hooks';
import { asking } from '../store/answers.ts';
import { good } from '../store/document.ts';
import { go, isWide } from '../store/view.ts';
import type { MadePaper } from '../workers/messages.ts';
import { date, made, making, revision, savePaper, saveSharePage, saveTable, size, trouble } from './made.ts';

const chosen = signal('drawing');

/** Everything that is held in a hand: looked at, printed, saved. */
export function Papers() {
  const machine = good.value?.machine;
  const papers = made.value?.papers ?? [];
  const shown = papers.find(({ id }) => id === chosen.value) ?? papers[0];
  return (
    <div class="papers">
      <header class="papers-head">
        <h1>Papers{machine === undefined ? '' : ` of ${machine.name}`}</h1>
        <button type="button" class="plain" onClick={() => go('questions')}>Leave</button>
      </header>
      {machine === undefined ? <p class="waiting">There is no machine yet.</p> : (
        <div class="papers-body">
          <nav class="papers-side" aria-label="Papers">
            <p class="papers-facts">
              <label>Revision <input value={revision.value} onInput={(event) => (revision.value = event.currentTarget.value)} /></label>
              <label>Date <input value={date.value} onInput={(event) => (date.value = event.currentTarget.value)} /></label>
              <label>Page <select value={size.value} onChange={(event) => (size.value = event.currentTarget.value === 'Letter' ? 'Letter' : 'A4')}><option>A4</option><option>Letter</option></select></label>
            </p>
            {isWide.value ? null : <p class="papers-facts"><label>Paper <select value={shown?.id} onChange={(event) => (chosen.value = event.currentTarget.value)}>{papers.map(({ id, title }) => <option key={id} value={id}>{title}</option>)}</select></label></p>}
            {!isWide.value ? null : <ul>{papers.map(({ id, title }) => <li key={id}><button type="button" aria-current={shown?.id === id ? 'page' : undefined} onClick={() => (chosen.value = id)}>{title}</button></li>)}</ul>}
            <p><button type="button" class="act" disabled={papers.length === 0} onClick={() => void saveSharePage()}>Save one page to share</button></p>
            <p class="about">It holds the drawing, lists, cards, answers and the machine file, and opens without a network. For PDF files: <code>ampwright papers</code>.</p>
          </nav>
          <section class="papers-shown" aria-label={shown?.title ?? 'Paper'} aria-busy={making.value}>
            <p class="papers-state" role="status">{stateWords(papers.length)}</p>
            {shown === undefined ? null : <Shown paper={shown} />}
          </section>
        </div>
      )}
    </div>
  );
}

function stateWords(count: number): string {
  if (trouble.value !== undefined) return `The papers could not be made: ${trouble.value}`;
  if (asking.value !== undefined) return count === 0 ? 'Waiting for the answers that stand on the papers …' : 'The answers are being renewed; the papers are from before.';
  return making.value ? 'Making the papers …' : ' ';
}

function Shown({ paper }: { readonly paper: MadePaper }) {
  return (
    <>
      <p class="papers-ways">
        <button type="button" class="act" onClick={() => window.print()}>Print</button>{' '}
        <button type="button" class="act quiet" onClick={() => savePaper(paper)}>Save as a page</button>{' '}
        {paper.csv === undefined ? null : <button type="button" class="act quiet" onClick={() => saveTable(paper)}>Save as a table (CSV)</button>}
      </p>
      <Sheet paper={paper} />
    </>
  );
}

/** A paper in a tree of its own: its style says nothing of the page around it, nor that of it. */
function Sheet({ paper }: { readonly paper: MadePaper }) {
  const place = useRef<HTMLDivElement>(null);
  const style = made.value?.style ?? '';
  useEffect(() => {
    const host = place.current;
    if (host === null) return;
    const root = host.shadowRoot ?? host.attachShadow({ mode: 'open' });
    const sheet = new CSSStyleSheet();
    sheet.replaceSync(style);
    root.adoptedStyleSheets = [sheet];
    // Every text in it is escaped where the paper is written, and the page's policy runs no script of it.
    root.innerHTML = `<div class="body${paper.wide ? ' wide' : ''}">${paper.body}</div>`;
  }, [paper, style]);
  return <div class="papers-sheet" ref={place} />;
}
