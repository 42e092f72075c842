import { AnswerView } from '../questions/answer-view.tsx';
import { openQuestion, selectedPart } from '../store/view.ts';
import { Hand } from '../hand/hand.tsx';

/** Under the drawing: the evidence of the open question, and beside it the value in hand. */
export function Drawer() {
  const open = openQuestion.value;
  const inHand = selectedPart.value !== undefined;
  return (
    <div class={`drawer ${inHand ? 'with-hand' : ''}`}>
      <section class="evidence-side" aria-label="The open question" tabIndex={0}>
        {open === undefined ? <p class="waiting">Open a question to see what it rests on; pick a part in the drawing to see and change its values.</p> : <AnswerView id={open} />}
      </section>
      {inHand ? <section class="hand-side" aria-label="The value in hand" tabIndex={0}><Hand /></section> : null}
    </div>
  );
}
