import { useSignal } from '@preact/signals';
import { useEffect, useId } from 'preact/hooks';
import { pointOf } from '../../machine/circuit/nets.ts';
import type { Machine } from '../../machine/machine.ts';
import { proposedAt } from '../../machine/rebuild/choices.ts';
import type { Rebuild } from '../../machine/rebuild/wish.ts';
import { otherEnd, type InHand } from '../store/in-hand.ts';
import { go, isWide } from '../store/view.ts';
import { farEndAt, farEnds, nameOfEnd, nearEnds, newAt, pointAt, type NearEnd } from './ends.ts';
import { Fresh, Trouble, useMaking } from './making.tsx';

/** A sentence that says from where to where a new lead goes; its far end can be pointed at in the drawing. */
export function ConnectPanel({ inHand, machine }: { readonly inHand: InHand; readonly machine: Machine }) {
  const id = useId();
  const nears = nearEnds(machine, inHand);
  const which = useSignal(0);
  const lead = useSignal('');
  const role = useSignal<'return' | 'signal ground'>('return');
  const values = useSignal<Readonly<Record<string, string>>>({});
  const missed = useSignal(false);
  const { trouble, make, busy } = useMaking();
  // What was pointed at in the drawing comes as its name, and is an end of the side that is asked for.
  const near = nears[which.value] ?? nears[0];
  useEffect(() => {
    if (!otherEnd.value.startsWith('pointed ')) return;
    const end = near === undefined ? undefined : farEndAt(machine, near.side, otherEnd.value.slice('pointed '.length));
    missed.value = end === undefined;
    otherEnd.value = end ?? '';
  }, [otherEnd.value]);
  if (inHand.is === 'part' && inHand.part.kind === 'motor') return <MotorPanel motor={inHand.part.id} machine={machine} />;
  if (near === undefined) return null;
  const fresh = newAt(machine, inHand, near);
  const { points, leads } = farEnds(machine, near.side, 'end' in near.point ? pointOf(near.point.end) : '');
  const to = otherEnd.value.startsWith('pointed ') ? '' : otherEnd.value;
  const kind = to.startsWith('new ') ? to.slice(4) : undefined;
  const filled = kind === undefined ? {} : { ...proposedAt(machine, kind, 'end' in near.point ? near.point.end : { place: '' }), ...values.value };
  const connect = (event: Event): void => {
    event.preventDefault();
    const wish = wishOf(machine, inHand, near, near.side === 'supply' ? 'supply' : role.value, to, filled, lead.value);
    if (wish !== undefined) void make(wish, [inHand.name, nameOfEnd(machine, to)]);
  };
  return (
    <form class="making" onSubmit={connect}>
      <label for={`${id}-from`}>From</label>
      <select id={`${id}-from`} value={String(which.value)} onChange={(event) => {
        which.value = Number(event.currentTarget.value);
        otherEnd.value = '';
      }}>
        {nears.map(({ words }, k) => <option key={words} value={String(k)}>{words}</option>)}
      </select>
      {near.side === 'supply' ? null : (
        <>
          <label for={`${id}-role`}>As</label>
          <select id={`${id}-role`} value={role.value} onChange={(event) => (role.value = event.currentTarget.value === 'return' ? 'return' : 'signal ground')}>
            <option value="return">its own negative</option><option value="signal ground">a signal ground</option>
          </select>
        </>
      )}
      <label for={`${id}-to`}>To</label>
      <select id={`${id}-to`} value={to} onChange={(event) => {
        otherEnd.value = event.currentTarget.value;
        missed.value = false;
        values.value = {};
      }}>
        <option value="">choose, or point at it in the drawing</option>
        {fresh.length === 0 ? null : <optgroup label="New">{fresh.map(({ kind: one, name, does }) => <option key={one} value={`new ${one}`}>{name}: {does}</option>)}</optgroup>}
        <optgroup label="There already">{points.map(({ value, words }) => <option key={value} value={value}>{words}</option>)}</optgroup>
        <optgroup label="Into a lead">{leads.map(({ value, words }) => <option key={value} value={value}>{words}</option>)}</optgroup>
      </select>
      {missed.value ? <p class="trouble" role="alert">This lead cannot end there. Point at something on the {near.side === 'supply' ? '+ side' : 'negative side'}.</p> : null}
      {isWide.value ? null : <p><button type="button" onClick={() => go('drawing')}>Point at it in the drawing</button></p>}
      {kind === undefined ? null : <Fresh kind={kind} values={filled} set={(property, text) => (values.value = { ...values.value, [property]: text })} />}
      {kind === 'motor' ? null : (
        <div>
          <label for={`${id}-lead`}>Its lead</label>
          <input id={`${id}-lead`} type="text" autocomplete="off" spellcheck={false} value={lead.value} placeholder="like 18 AWG 0.40 m; may stay empty" onInput={(event) => (lead.value = event.currentTarget.value)} />
        </div>
      )}
      <p><button type="submit" class="act" disabled={busy.value || to === ''}>Connect</button></p>
      <Trouble words={trouble.value} />
    </form>
  );
}

function wishOf(machine: Machine, inHand: InHand, near: NearEnd, role: 'supply' | 'return' | 'signal ground', to: string, values: Readonly<Record<string, string>>, lead: string): Rebuild | undefined {
  if (to.startsWith('new ')) {
    const part = { kind: to.slice(4), values };
    if (part.kind === 'motor') return { rebuild: 'drive', controller: inHand.name, motor: part };
    return { rebuild: 'connect', role, from: near.point, to: part, lead };
  }
  const point = pointAt(machine, to);
  return point === undefined ? undefined : { rebuild: 'connect', role, from: near.point, to: point, lead };
}

function MotorPanel({ motor, machine }: { readonly motor: string; readonly machine: Machine }) {
  const id = useId();
  const { trouble, make, busy } = useMaking();
  const controllers = [...machine.parts.values()].filter(({ kind }) => kind === 'controller');
  const pointed = otherEnd.value.replace(/^pointed /, '');
  const to = controllers.find((part) => part.id === pointed)?.id ?? controllers[0]?.id ?? '';
  return (
    <form class="making" onSubmit={(event) => {
      event.preventDefault();
      void make({ rebuild: 'drive', controller: to, motor }, [motor]);
    }}>
      <label for={`${id}-to`}>Driven by</label>
      <select id={`${id}-to`} value={to} onChange={(event) => (otherEnd.value = event.currentTarget.value)}>
        {controllers.map((part) => <option key={part.id} value={part.id}>{part.id}{part.about === undefined ? '' : `, ${part.about}`}</option>)}
      </select>
      <p><button type="submit" class="act" disabled={busy.value || to === ''}>Connect</button></p>
      <Trouble words={trouble.value} />
    </form>
  );
}
