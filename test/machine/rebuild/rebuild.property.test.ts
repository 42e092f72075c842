import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { readMachine } from '../../../src/machine/file/read.ts';
import type { End, Machine } from '../../../src/machine/machine.ts';
import { choicesAt, choicesInLead, proposedAt, proposedInLead } from '../../../src/machine/rebuild/choices.ts';
import { chainOf, leadName, leadNamed, leadsIn } from '../../../src/machine/rebuild/leads.ts';
import { rebuild } from '../../../src/machine/rebuild/rebuild.ts';
import { takesSoftStart } from '../../../src/machine/rebuild/soft-start.ts';
import type { Rebuild } from '../../../src/machine/rebuild/wish.ts';
import { Situations } from '../../../src/questions/states/look.ts';
import { DEMOS, difference, machineOf } from './demos.ts';

/** Every change that the page offers for a machine as it is. */
function offered(machine: Machine): Rebuild[] {
  const { chains } = machine.wiring;
  const supply = chains.filter(({ role }) => role === 'supply');
  const ends = supply.flatMap(({ from, to }): End[] => [from, to]);
  return [
    ...[...machine.parts.keys()].map((part): Rebuild => ({ rebuild: 'take out', part })),
    ...[...machine.parts.values()].filter(takesSoftStart).map(({ id }): Rebuild => ({ rebuild: 'soft start', part: id, resistor: { kind: 'resistor', values: { resistance: '22 Ω' } } })),
    ...chains.map(({ role, name }): Rebuild => ({ rebuild: 'disconnect', chain: { role, name } })),
    ...supply.map(({ name }): Rebuild => ({ rebuild: 'duplicate', chain: name })),
    ...leadsIn(machine).flatMap(({ chain, at, conductor }): Rebuild[] => [
      ...choicesInLead(machine, chain).map(({ kind }): Rebuild => ({ rebuild: 'put in', into: { role: chain.role, name: chain.name, at }, part: { kind, values: proposedInLead(machine, kind, chain) } })),
      { rebuild: 'lead', lead: { role: chain.role, name: chain.name, at }, text: conductor === undefined ? '12 AWG 0.20 m' : '' },
      ...(chain.role === 'supply' ? [{ rebuild: 'connect', role: 'supply', from: { tap: { role: chain.role, name: chain.name, at } }, to: { kind: 'lamp', values: { resistance: '10 kΩ' } }, lead: '' } as const] : []),
    ]),
    ...ends.flatMap((end) => choicesAt(machine, end).map(({ kind }): Rebuild => ({ rebuild: 'connect', role: 'supply', from: { end }, to: { kind, values: proposedAt(machine, kind, end) }, lead: '16 AWG 0.30 m' }))),
    ...ends.flatMap((from, k) => [ends[k + 1], ends[k + 3]].flatMap((to): Rebuild[] => (to === undefined ? [] : [{ rebuild: 'connect', role: 'supply', from: { end: from }, to: { end: to }, lead: '' }]))),
  ];
}

/** What goes and comes as a whole, and a share of what can be put anywhere. */
function some(wishes: readonly Rebuild[]): Rebuild[] {
  const share = Math.max(3, Math.round(wishes.length / 25));
  return wishes.filter(({ rebuild: how }, k) => ['take out', 'disconnect', 'soft start'].includes(how) || (['duplicate', 'lead'].includes(how) ? k % 2 === 0 : k % share === 0));
}

describe.each(DEMOS)('every change of %s', (_name, text) => {
  const machine = machineOf(text);

  it('gives a machine, or says why not in a sentence; what it does not name stays as it is, comments and order too', () => {
    const comments = text.split('\n').filter((line) => /^\s*#/.test(line));
    const kinds = new Set<string>();
    for (const wish of some(offered(machine))) {
      const result = rebuild(text, wish);
      if (!result.ok) {
        expect(result.why).toMatch(/^\S.*[.?]$/);
        continue;
      }
      kinds.add(wish.rebuild);
      // The page goes on to look at it.
      new Situations(machineOf(result.text));
      const lines = difference(text, result.text);
      const gone = lines.filter((line) => line.startsWith('-')).map((line) => line.slice(1));
      expect(lines).not.toEqual([]);
      // Lines of their own that hold a comment stay, but for those inside a part that goes; copies bring theirs along.
      const kept = result.text.split('\n').filter((line) => /^\s*#/.test(line));
      for (const comment of comments) if (!kept.includes(comment)) expect(gone, JSON.stringify(wish)).toContain(comment.trim());
      // What changes is about what the change is about: a handful of lines, and for a branch new ones only.
      if (wish.rebuild === 'lead') expect(lines.length).toBe(2);
      if (wish.rebuild === 'put in' || wish.rebuild === 'connect') expect(gone.length).toBeLessThanOrEqual(2);
      if (wish.rebuild === 'duplicate') expect(gone.every((line) => line.includes('do: '))).toBe(true);
    }
    expect([...kinds].sort()).toEqual(expect.arrayContaining(['connect', 'duplicate', 'lead', 'put in', 'take out']));
  }, 180_000);

  it('is undone to the byte by its opposite: put in and taken out, connected and taken out', () => {
    for (const lead of leadsIn(machine)) {
      const { chain, at } = lead;
      for (const { kind } of choicesInLead(machine, chain).filter((_one, k) => (k + at) % 9 === 0)) {
        const put = rebuild(text, { rebuild: 'put in', into: { role: chain.role, name: chain.name, at }, part: { kind, values: proposedInLead(machine, kind, chain) } });
        if (!put.ok) throw new Error(put.why);
        const out = rebuild(put.text, { rebuild: 'take out', part: put.part ?? '' });
        expect(out.ok ? out.text : out.why, `${kind} in ${leadName(lead)}`).toBe(text);
      }
    }
    const place = machine.wiring.chains.flatMap(({ role, from }) => (role === 'supply' && 'place' in from ? [from] : []))[0];
    if (place === undefined) throw new Error('no place');
    for (const { kind } of choicesAt(machine, place)) {
      const hung = rebuild(text, { rebuild: 'connect', role: 'supply', from: { end: place }, to: { kind, values: proposedAt(machine, kind, place) }, lead: '20 AWG 0.10 m' });
      if (!hung.ok) throw new Error(hung.why);
      const out = rebuild(hung.text, { rebuild: 'take out', part: hung.part ?? '' });
      expect(out.ok ? out.text : out.why, kind).toBe(text);
    }
  }, 180_000);

  it('finds every lead again by its name', () => {
    for (const lead of leadsIn(machine)) expect(leadNamed(machine, leadName(lead))).toMatchObject({ at: lead.at, from: lead.from, to: lead.to });
    expect(new Set(leadsIn(machine).map(leadName)).size).toBe(leadsIn(machine).length);
  });
});

it('any ten changes one after the other give machines that can be read and looked at (seed 20261125)', () => {
  fc.assert(
    fc.property(fc.constantFrom(...DEMOS), fc.array(fc.nat(2 ** 30 - 1), { minLength: 4, maxLength: 10 }), ([, start], picks) => {
      let text = start;
      for (const pick of picks) {
        const machine = machineOf(text);
        const wishes = offered(machine);
        // Kinds of change in turn: there are far more ways to put something in than to take something out.
        const kinds = [...new Set(wishes.map(({ rebuild: how }) => how))];
        const own = wishes.filter(({ rebuild: how }) => how === kinds[pick % kinds.length]);
        const wish = own[pick % own.length]!;
        // Branches of branches of branches: a machine has an end.
        if (wish.rebuild === 'duplicate' && machine.parts.size > 60) continue;
        const result = rebuild(text, wish);
        if (!result.ok) {
          expect(result.why).toMatch(/^\S.*[.?]$/);
          continue;
        }
        text = result.text;
        const now = machineOf(text);
        for (const { role, name } of now.wiring.chains) expect(chainOf(now, { role, name })).toBeDefined();
      }
      const end = readMachine(text);
      if (!end.ok) throw new Error('no machine');
      const situations = new Situations(end.machine);
      expect(situations.look({ positions: {}, absent: [], turning: [], failures: [] })).toBeDefined();
    }),
    { seed: 20261125, numRuns: 24 },
  );
}, 120_000);

it('wishes of any sort about any names never throw (seed 20261126)', () => {
  const name = fc.oneof(fc.constantFrom('bar', 'drive', 'arm', 'pack', 'T1', 'Q1', 'R1', 'G1', 'K1', 'general', '', '__proto__', 'a, b', ': x', '{', '\n', '# c'), fc.string({ maxLength: 90 }));
  const role = fc.constantFrom<('supply' | 'return' | 'signal ground')[]>('supply', 'return', 'signal ground');
  const at = fc.oneof(fc.integer({ min: -1, max: 6 }), fc.constantFrom(NaN, 1.5, Infinity));
  const inChain = fc.record({ role, name, at });
  const fresh = fc.record({ kind: fc.oneof(fc.constantFrom('fuse', 'lamp', 'motor', 'pack', 'isolator'), name), values: fc.dictionary(fc.oneof(fc.constantFrom('rating', 'resistance', 'about'), name), name, { maxKeys: 3 }) });
  const end = fc.oneof(fc.record({ place: name }), fc.record({ part: name, terminal: fc.constantFrom<('+' | '-' | 'out')[]>('+', '-', 'out') }));
  const point = fc.oneof(fc.record({ end }), fc.record({ tap: inChain }));
  const wish: fc.Arbitrary<Rebuild> = fc.oneof(
    fc.record({ rebuild: fc.constant('put in' as const), into: inChain, part: fresh }),
    fc.record({ rebuild: fc.constant('connect' as const), role, from: point, to: fc.oneof(point, fresh), lead: name }),
    fc.record({ rebuild: fc.constant('drive' as const), controller: name, motor: fc.oneof(name, fresh) }),
    fc.record({ rebuild: fc.constant('take out' as const), part: name }),
    fc.record({ rebuild: fc.constant('soft start' as const), part: name, resistor: fresh }),
    fc.record({ rebuild: fc.constant('disconnect' as const), chain: fc.record({ role, name }) }),
    fc.record({ rebuild: fc.constant('duplicate' as const), chain: name }),
    fc.record({ rebuild: fc.constant('lead' as const), lead: inChain, text: name }),
  );
  const text = DEMOS.find(([demo]) => demo === 'crush10s.yaml')![1];
  fc.assert(fc.property(wish, (one) => {
    const result = rebuild(text, one);
    if (result.ok) expect(readMachine(result.text).ok).toBe(true);
    else expect(result.why).not.toBe('');
  }), { seed: 20261126, numRuns: 300 });
}, 120_000);
