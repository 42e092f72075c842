import type { Evidence } from '../../questions/answer.ts';
import { PlotView } from './plot.tsx';

/** A curve or a table; wide ones scroll inside their own frame. */
export function EvidenceView({ evidence }: { readonly evidence: Evidence }) {
  return (
    <figure>
      <figcaption>{evidence.title}</figcaption>
      {evidence.type === 'plot' ? <PlotView plot={evidence} /> : <Table table={evidence} />}
    </figure>
  );
}

function Table({ table: { title, head, rows } }: { readonly table: Extract<Evidence, { type: 'table' }> }) {
  return (
    <div class="scroll" role="region" tabIndex={0} aria-label={title}>
      <table>
        <thead><tr>{head.map((name, k) => <th key={k} scope="col">{name}</th>)}</tr></thead>
        <tbody>{rows.map((row, r) => <tr key={r}>{row.map((cell, k) => <td key={k} class={/^[\u2212-]?\d/.test(cell) ? 'number' : 'text'}>{cell}</td>)}</tr>)}</tbody>
      </table>
    </div>
  );
}
