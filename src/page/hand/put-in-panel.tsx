import { useSignal } from '@preact/signals';
import { useId } from 'preact/hooks';
import type { Machine } from '../../machine/machine.ts';
import { choicesInLead, proposedInLead, SOFT_START } from '../../machine/rebuild/choices.ts';
import { chainOf } from '../../machine/rebuild/leads.ts';
import { takesSoftStart } from '../../machine/rebuild/soft-start.ts';
import type { InHand } from '../store/in-hand.ts';
import { spotsOf } from './ends.ts';
import { Fresh, Trouble, useMaking } from './making.tsx';

/** A sentence that says what comes where, and the values that it cannot do without. */
export function PutInPanel({ inHand, machine }: { readonly inHand: InHand; readonly machine: Machine }) {
  const id = useId();
  const spots = spotsOf(machine, inHand);
  const at = useSignal(0);
  const kind = useSignal('fuse');
  const values = useSignal<Readonly<Record<string, string>>>({});
  const { trouble, make, busy } = useMaking();
  const spot = spots[at.value] ?? spots[0];
  const chain = spot === undefined ? undefined : chainOf(machine, spot.into);
  if (spot === undefined || chain === undefined) return null;
  const around = inHand.is === 'part' && takesSoftStart(inHand.part) ? inHand.part.id : undefined;
  const choices = [...choicesInLead(machine, chain), ...(around === undefined ? [] : [SOFT_START])];
  const choice = choices.find((one) => one.kind === kind.value) ?? choices[0];
  if (choice === undefined) return <p class="sure-words">Nothing can stand in a lead to the chassis or the bench.</p>;
  const filled = { ...proposedInLead(machine, choice.kind, chain), ...values.value };
  const put = (event: Event): void => {
    event.preventDefault();
    if (choice === SOFT_START && around !== undefined) void make({ rebuild: 'soft start', part: around, resistor: { kind: 'resistor', values: filled } });
    else void make({ rebuild: 'put in', into: spot.into, part: { kind: choice.kind, values: filled } });
  };
  return (
    <form class="making" onSubmit={put}>
      <label for={`${id}-where`}>Where</label>
      {choice === SOFT_START ? <select id={`${id}-where`} disabled><option>beside {around}, from one side to the other</option></select> : <select id={`${id}-where`} value={String(at.value)} onChange={(event) => (at.value = Number(event.currentTarget.value))}>
        {spots.map(({ words }, k) => <option key={words} value={String(k)}>{words}</option>)}
      </select>}
      <label for={`${id}-what`}>What comes here</label>
      <select
        id={`${id}-what`} value={choice.kind} aria-describedby={`${id}-does`}
        onChange={(event) => {
          kind.value = event.currentTarget.value;
          values.value = {};
        }}
      >
        {choices.map(({ kind: one, name }) => <option key={one} value={one}>{name}</option>)}
      </select>
      <p class="meaning" id={`${id}-does`}>{choice.does}</p>
      <Fresh kind={choice === SOFT_START ? 'resistor' : choice.kind} values={filled} set={(property, text) => (values.value = { ...values.value, [property]: text })} />
      <p><button type="submit" class="act" disabled={busy.value}>Put it in</button></p>
      <Trouble words={trouble.value} />
    </form>
  );
}
