import { useSignal } from '@preact/signals';
import { useEffect, useId } from 'preact/hooks';
import type { Chain, Machine } from '../../machine/machine.ts';
import { branchesAt } from '../../machine/rebuild/duplicate.ts';
import { chainWith, chainWords, leadName, leadsOfChain } from '../../machine/rebuild/leads.ts';
import type { Rebuilt } from '../../machine/rebuild/rebuild.ts';
import type { Rebuild } from '../../machine/rebuild/wish.ts';
import { text, tryRebuild } from '../store/document.ts';
import { begin, type Doing, type InHand } from '../store/in-hand.ts';
import { handNameOf } from './ends.ts';
import { Trouble, useMaking } from './making.tsx';

type Sure = Exclude<Doing, 'put in' | 'connect'>;

const BUTTON = { disconnect: 'Take these wires away', duplicate: 'Duplicate it', 'take out': 'Take it out' } as const;

/** Says what a change will do, and does it when told so. */
export function SurePanel({ what, inHand, machine }: { readonly what: Sure; readonly inHand: InHand; readonly machine: Machine }) {
  const id = useId();
  const chains = what === 'disconnect' ? chainsOf(machine, inHand) : what === 'duplicate' ? branchesOf(machine, inHand) : [];
  const at = useSignal(0);
  const chain = chains[at.value] ?? chains[0];
  const wish = wishOf(what, inHand, chain);
  const key = JSON.stringify(wish);
  const found = useSignal<{ readonly key: string; readonly result: Rebuilt } | undefined>(undefined);
  const { trouble, make, busy } = useMaking();
  useEffect(() => {
    if (wish !== undefined) void tryRebuild(wish).then((result) => (found.value = { key, result }));
  }, [key, text.value]);
  if (wish === undefined) return null;
  const shown = found.value?.key === key ? found.value.result : undefined;
  return (
    <div class="making">
      {chains.length < 2 ? null : (
        <>
          <label for={`${id}-chain`}>Which</label>
          <select id={`${id}-chain`} value={String(at.value)} onChange={(event) => (at.value = Number(event.currentTarget.value))}>
            {chains.map((one, k) => <option key={`${one.role} ${one.name}`} value={String(k)}>{chainWords(one)}</option>)}
          </select>
        </>
      )}
      <div role="status">{shown === undefined ? <p class="waiting">Looking what hangs on it …</p> : shown.ok ? <Told what={what} inHand={inHand} chain={chain} also={shown.also} /> : <p class="trouble">It cannot be done: {shown.why}</p>}</div>
      <p class="sure-acts">
        {shown?.ok === true ? <button type="button" class="act" disabled={busy.value} onClick={() => void make(wish, nextInHand(machine, inHand, chain))}>{BUTTON[what]}</button> : null}{' '}
        <button type="button" onClick={() => begin(undefined)}>Leave it</button>
      </p>
      <Trouble words={trouble.value} />
    </div>
  );
}

function Told({ what, inHand, chain, also }: { readonly what: Sure; readonly inHand: InHand; readonly chain: Chain | undefined; readonly also: readonly string[] }) {
  const name = inHand.is === 'part' ? inHand.part.id : '';
  const first = what === 'take out' ? `${name} goes out of the machine.` : what === 'disconnect' ? `The chain ${chain === undefined ? '' : chainWords(chain)} goes.` : `Everything that hangs on ${chain === undefined ? '' : chainWords(chain)} alone comes once more.`;
  return <ul class="sentences"><li>{first}</li>{also.map((line) => <li key={line}>{line}</li>)}</ul>;
}

function wishOf(what: Sure, inHand: InHand, chain: Chain | undefined): Rebuild | undefined {
  if (what === 'take out') return inHand.is === 'part' ? { rebuild: 'take out', part: inHand.part.id } : undefined;
  if (chain === undefined) return undefined;
  return what === 'disconnect' ? { rebuild: 'disconnect', chain: { role: chain.role, name: chain.name } } : { rebuild: 'duplicate', chain: chain.name };
}

/** What is in hand afterwards: what was, where it is still there; the lead where it stood; what stood at its ends. */
function nextInHand(machine: Machine, inHand: InHand, chain: Chain | undefined): string[] {
  const id = inHand.is === 'part' ? inHand.part.id : undefined;
  const holds = id === undefined ? undefined : chainWith(machine, id);
  const feeds = machine.wiring.chains.find(({ to }) => 'part' in to && to.part === id);
  const ends = [holds, feeds, chain].flatMap((one) => (one === undefined ? [] : [handNameOf(one.from), handNameOf(one.to)]));
  if (holds === undefined) return [inHand.name, ...ends];
  const at = holds.items.findIndex((item) => 'part' in item && item.part === id);
  const leads = leadsOfChain(machine, { ...holds, items: holds.items.filter((_item, k) => k !== at) });
  const near = leads.find((lead) => lead.at >= at - 1) ?? leads[0];
  return [inHand.name, ...(near === undefined ? [] : [leadName(near)]), ...ends];
}

/** Chains that could be taken away from what is in hand. */
export function chainsOf(machine: Machine, inHand: InHand): readonly Chain[] {
  if (inHand.is === 'lead') return [inHand.lead.chain];
  return machine.wiring.chains.filter(({ items, from, to }) => {
    if (inHand.is === 'place') return [from, to].some((end) => 'place' in end && end.place === inHand.place);
    return items.some((item) => 'part' in item && item.part === inHand.part.id) || [from, to].some((end) => 'part' in end && end.part === inHand.part.id);
  });
}

/** Supply chains whose branch could be duplicated. */
export function branchesOf(machine: Machine, inHand: InHand): readonly Chain[] {
  if (inHand.is === 'place') return [];
  if (inHand.is === 'lead') return inHand.lead.chain.role === 'supply' ? [inHand.lead.chain] : [];
  const names = branchesAt(machine, inHand.part.id);
  return machine.wiring.chains.filter(({ role, name }) => role === 'supply' && names.includes(name));
}
