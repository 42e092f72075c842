import { useMemo } from 'preact/hooks';
import type { Evidence } from '../../questions/answer.ts';
import { chart } from '../../sheets/report/chart.ts';

/** A curve or a table; wide ones scroll inside their own frame. */
export function EvidenceView({ evidence }: { readonly evidence: Evidence }) {
  return (
    <figure>
      <figcaption>{evidence.title}</figcaption>
      {evidence.type === 'plot' ? <Plot plot={evidence} /> : <Table table={evidence} />}
    </figure>
  );
}

function Plot({ plot }: { readonly plot: Extract<Evidence, { type: 'plot' }> }) {
  // The chart escapes every name that it draws.
  const html = useMemo(() => chart(plot), [plot]);
  return <div class="chart-frame" dangerouslySetInnerHTML={{ __html: html }} />;
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
