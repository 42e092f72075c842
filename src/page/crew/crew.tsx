import { useEffect } from 'preact/hooks';
import { CrewEnd } from './crew-end.tsx';
import { CrewStart } from './crew-start.tsx';
import { CrewStep } from './crew-step.tsx';
import { good } from '../store/document.ts';
import { openLog } from './log.ts';
import { back, cue, cue_ms, leaveIfOther, next, notSo, reading, screen, stopped } from './run.ts';
import { hush, keepAwake } from './signals.ts';

/** Full screen, one step at a time, for a crew with busy hands. */
export function Crew() {
  useEffect(() => openLog(), []);
  useEffect(() => keepAwake(), []);
  const text = good.value?.text;
  useEffect(() => (text === undefined ? undefined : leaveIfOther(text)), [text]);
  useEffect(() => {
    addEventListener('keydown', keys);
    return () => {
      removeEventListener('keydown', keys);
      hush();
    };
  }, []);
  return <div class="crew">{reading.value === undefined ? <CrewStart /> : screen.value === undefined ? <CrewEnd /> : <CrewStep />}</div>;
}

/** Arrow and page keys, as a remote for slides sends them. */
function keys(event: KeyboardEvent): void {
  if (event.ctrlKey || event.altKey || event.metaKey || reading.peek() === undefined || event.target instanceof HTMLInputElement) return;
  const act = actOf(event.key);
  if (act === undefined) return;
  event.preventDefault();
  act();
}

function actOf(key: string): (() => void) | undefined {
  if (key === 'ArrowRight' || key === 'PageDown') {
    if (stopped.peek()) return undefined;
    return screen.peek()?.count !== undefined && cue_ms.peek() === undefined ? cue : next;
  }
  if (key === 'ArrowLeft' || key === 'PageUp') return back;
  return key === 'Escape' ? notSo : undefined;
}
