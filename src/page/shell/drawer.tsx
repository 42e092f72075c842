import { useSignal } from '@preact/signals';
import { useEffect } from 'preact/hooks';
import { AnswerView } from '../questions/answer-view.tsx';
import { overTime } from '../store/moment.ts';
import { openQuestion, selectedPart } from '../store/view.ts';
import { Hand } from '../hand/hand.tsx';
import { Late, type Later } from './late.tsx';

const CURVES: Later = { id: 'curves', name: 'Curves', load: async () => (await import('../time/curves.tsx')).Curves };

/** Under the drawing: the evidence of the open question or the curves of a run, and beside it the value in hand. */
export function Drawer() {
  const open = openQuestion.value;
  const inHand = selectedPart.value !== undefined;
  const timed = overTime.value;
  const curves = useSignal(false);
  useEffect(() => {
    curves.value = timed;
  }, [timed]);
  useEffect(() => {
    curves.value = false;
  }, [open]);
  const shown = timed && curves.value;
  return (
    <div class={`drawer ${inHand ? 'with-hand' : ''}`}>
      <section class="evidence-side" aria-label={shown ? 'Curves of the run' : 'The open question'} tabIndex={0}>
        {timed ? (
          <p class="drawer-switch">
            <button type="button" aria-pressed={shown} onClick={() => (curves.value = true)}>Curves of the run</button>
            <button type="button" aria-pressed={!shown} onClick={() => (curves.value = false)}>The open question</button>
          </p>
        ) : null}
        {shown ? <Late view={CURVES} /> : open === undefined ? <p class="waiting">Open a question to see what it rests on; pick a part in the drawing to see and change its values.</p> : <AnswerView id={open} />}
      </section>
      {inHand ? <section class="hand-side" aria-label="The value in hand" tabIndex={0}><Hand /></section> : null}
    </div>
  );
}
