import { useRef } from 'preact/hooks';
import { change, fileName, issues, readText, text } from '../store/document.ts';
import { saveCopy, share } from '../store/files.ts';

/** The machine file itself, with its line numbers; what is wrong stands at its line. */
export function FileEditor() {
  const area = useRef<HTMLTextAreaElement>(null);
  const gutter = useRef<HTMLPreElement>(null);
  const lines = text.value.split('\n').length;
  const shown = readText.value === text.value ? issues.value : [];
  const marked = new Map(shown.map((issue) => [issue.line, issue.severity]));
  const goTo = (line: number): void => {
    const element = area.current;
    if (element === null) return;
    const start = text.peek().split('\n').slice(0, line - 1).reduce((sum, one) => sum + one.length + 1, 0);
    element.focus();
    element.setSelectionRange(start, start + (text.peek().split('\n')[line - 1]?.length ?? 0));
    element.scrollTop = Math.max(0, (line - 5) * LINE_PX);
  };
  return (
    <div class="file-view">
      <div class="file-bar">
        <h2>{fileName.value}</h2>
        <button type="button" class="plain" onClick={saveCopy}>Save a copy</button>
        <button type="button" class="plain" onClick={() => void share()}>Share</button>
      </div>
      {shown.length === 0 ? null : (
        <ul class="issues" aria-label="What is wrong with the file">
          {shown.slice(0, MOST_ISSUES).map((issue, k) => (
            <li key={k} class={issue.severity}>
              <button type="button" class="plain" onClick={() => goTo(issue.line)}>Line {issue.line}</button> {issue.severity === 'question' ? 'Question: ' : ''}
              {[issue.part, issue.field].filter((word) => word !== undefined).join(', ')}{issue.part === undefined && issue.field === undefined ? '' : ': '}expected {issue.expected}, found {issue.found}{issue.hint === undefined ? '' : `; ${issue.hint}`}
            </li>
          ))}
          {shown.length > MOST_ISSUES ? <li>{shown.length - MOST_ISSUES} more.</li> : null}
        </ul>
      )}
      <div class="file-lines">
        <pre class="gutter" ref={gutter} aria-hidden="true">
          {Array.from({ length: lines }, (_, k) => <span key={k} class={marked.get(k + 1) ?? ''}>{k + 1}{'\n'}</span>)}
        </pre>
        <textarea
          ref={area} value={text.value} spellcheck={false} autocomplete="off" autocapitalize="off" wrap="off" aria-label="Text of the machine file"
          onInput={(event) => change(event.currentTarget.value, 'typing in the file', 'typing')}
          onScroll={(event) => {
            if (gutter.current !== null) gutter.current.scrollTop = event.currentTarget.scrollTop;
          }}
        />
      </div>
    </div>
  );
}

/** Height of a line; the style sheet has the same. */
const LINE_PX = 20;
const MOST_ISSUES = 12;
