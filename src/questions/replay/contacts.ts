import type { Note } from '../../engine/automaton.ts';
import type { Circuit } from '../../machine/circuit/circuit.ts';
import { closedPosition, openPosition } from '../../machine/circuit/positions.ts';
import type { SwitchTrack } from './replay.ts';

/** When a contact of a switch touched and parted. */
export class ContactTrack {
  readonly changes: { readonly time_s: number; readonly touches: boolean }[] = [];

  constructor(
    readonly part: string,
    readonly position: string,
  ) {}

  /** Whether it conducts at each point of a record: 1 or 0. Of two points at one moment the first is before what happens then. */
  conductsAt(time_s: readonly number[]): Uint8Array {
    let next = 0;
    let closed = 0;
    return Uint8Array.from(time_s, (time, k) => {
      for (let change = this.changes[next]; change !== undefined && (change.time_s < time || (change.time_s === time && time_s[k - 1] === time)); change = this.changes[++next]) closed = change.touches ? 1 : 0;
      return closed;
    });
  }
}

/** Every contact of the operated switches, from what a run noted. */
export function contactTracks(circuit: Circuit, notes: readonly Note[]): ContactTrack[] {
  const tracks = new Map<string, ContactTrack>();
  for (const [part, ways] of circuit.ways)
    for (const way of ways) {
      const { name } = way.branch.contacts[way.contact]!;
      if (!tracks.has(name)) tracks.set(name, new ContactTrack(part, way.position));
    }
  for (const { time, what } of notes) {
    const found = /^(.*) (touches|parts)$/.exec(what);
    tracks.get(found?.[1] ?? '')?.changes.push({ time_s: time, touches: found?.[2] === 'touches' });
  }
  return [...tracks.values()];
}

/** A contact that touches again within this has bounced: its switch stands where it stood. */
const BOUNCE_S = 5e-3;

/** Where each switch stands, all open at first. */
export function switchTracks({ ways, machine }: Circuit, contacts: readonly ContactTrack[]): SwitchTrack[] {
  return [...ways.keys()].map((part): SwitchTrack => {
    const own = contacts.filter((contact) => contact.part === part);
    const direct = closedPosition(machine, part);
    const open = openPosition(machine, part);
    const closed = new Set<string>();
    const at: { from_s: number; position: string }[] = [{ from_s: -Infinity, position: open }];
    const changes = own.flatMap(({ position, changes: all }) => all.map((change) => ({ ...change, position }))).sort((a, b) => a.time_s - b.time_s);
    for (const { time_s, position, touches } of changes) {
      if (touches) closed.add(position);
      else closed.delete(position);
      const now = closed.has(direct) ? direct : ([...closed][0] ?? open);
      const before = at.at(-2);
      if (now === at.at(-1)?.position) continue;
      if (at.at(-1)?.position === open && before?.position === now && time_s - at.at(-1)!.from_s < BOUNCE_S) at.pop();
      else at.push({ from_s: time_s, position: now });
    }
    return { part, at };
  });
}
