import { parseQuantity } from '../../src/quantity/parse.ts';
import type { Dimension } from '../../src/quantity/quantity.ts';
import { ranged } from '../../src/quantity/quantity.ts';
import { kindOf } from '../../src/machine/parts.ts';
import type { Machine, Chain, End, ChainItem, Step } from '../../src/machine/machine.ts';
const q = (t: string, d: Dimension) => { const r = parseQuantity(t, d); if (!r.ok) throw new Error(t + JSON.stringify(r)); return r.quantity; };
function part(id: string, kind: string, given: Record<string, any>): any {
  const k = kindOf(kind)!; const values: any = {};
  for (const [n, v] of Object.entries(given)) { const f = k.fields[n]!; values[n] = f.type === 'quantity' ? q(v, f.dimension) : v; }
  const d = k.defaults(values) as any; for (const [n, v] of Object.entries(d)) if (values[n] === undefined) values[n] = v;
  return { id, kind, about: undefined, values, line: 1 };
}
function end(t: string): End { const m = /^([A-Z]+\d+)(\+|-| out)?$/.exec(t); return m ? { part: m[1]!, terminal: (m[2]?.trim() || '+') as any } : { place: t }; }
function chain(name: string, role: Chain['role'], text: string): Chain {
  const bits = text.split(',').map(s => s.trim());
  const items: ChainItem[] = bits.slice(1, -1).map(b => { const m = /^(\d+ AWG) ([\d.]+ m)$/.exec(b); return m ? { conductor: { section: q(m[1]!, 'area'), length: q(m[2]!, 'length'), lay: 'tied', colour: undefined } } : { part: b }; });
  return { name, role, from: end(bits[0]!.replace('from ', '')), items, to: end(bits[bits.length - 1]!.replace('to ', '')), line: 1 };
}
const step = (text: string): Step => { const w = text.split(' '); if (w[0] === 'turn') return { act: 'turn', part: w[1]!, position: w[3]!, text, line: 1 }; if (w[0] === 'wait') return { act: 'wait', time: q(w.slice(1).join(' '), 'time'), text, line: 1 }; return { act: w[0] as any, part: w[1]!, text, line: 1 }; };
export function crush(R = '100 ohm'): Machine {
  const pos = (r: string) => new Map<string, any>([['OFF', { path: 'open' }], ['CHARGE', { path: 'through', part: r }], ['ON', { path: 'direct' }]]);
  const parts = [
    part('G1', 'pack', { chemistry: 'lipo', cells: '10', capacity: '8 Ah', cellResistance: '1.6 mΩ' }),
    part('X1', 'connector', { closedResistance: '0.6 mΩ' }), part('LK1', 'link', { closedResistance: '0.4 mΩ' }), part('F1', 'fuse', { rating: '150 A', resistance: '0.5 mΩ' }),
    part('Q1', 'isolator', { rating: '150 A', closedResistance: '0.5 mΩ', gap: '20 ms (10 to 40)', positions: pos('R1') }), part('Q2', 'isolator', { rating: '150 A', closedResistance: '0.5 mΩ', gap: '20 ms (10 to 40)', positions: pos('R2') }),
    part('R1', 'resistor', { resistance: R }), part('R2', 'resistor', { resistance: '100 ohm' }),
    ...['T1', 'T2'].map(t => part(t, 'controller', { motorCurrent: '120 A', capacitance: '2 mF', seriesResistance: '10 mΩ', standby: '45 mA', logicStart: '8 V' })),
    part('T4', 'controller', { motorCurrent: '150 A', capacitance: '1.5 mF', seriesResistance: '12 mΩ', standby: '45 mA', logicStart: '8 V' }),
    part('T3', 'converter', { output: '12 V', running: '7 W', start: '9 V', stop: '7.5 V', electrolytic: '100 µF', ceramic: '22 µF' }),
    part('T5', 'regulator', { output: '5 V' }), part('K1', 'receiver', { current: '90 mA' }),
    part('P1', 'lamp', { resistance: '8.2 kΩ' }), part('P2', 'lamp', { resistance: '8.2 kΩ' }),
  ];
  const wiring = [
    chain('pack', 'supply', 'from G1+, X1, LK1, F1, 8 AWG 0.15 m, to bar'), chain('drive', 'supply', 'from bar, Q1, 8 AWG 0.50 m, to drive'), chain('left', 'supply', 'from drive, to T1'), chain('right', 'supply', 'from drive, to T2'), chain('lamp1', 'supply', 'from drive, to P1'),
    chain('services', 'supply', 'from drive, 18 AWG 0.40 m, to T3'), chain('arm', 'supply', 'from bar, Q2, 10 AWG 0.60 m, to T4'), chain('lamp2', 'supply', 'from T4, to P2'),
    chain('radio', 'supply', 'from T3 out, to T5'), chain('rx', 'supply', 'from T5 out, to K1'),
    ...['T1', 'T2', 'T4'].map(t => chain('sg ' + t, 'signal ground', `from ${t}-, 24 AWG 0.40 m, to K1-`)),
  ];
  return { name: 'CRUSH10S', about: undefined, mass: undefined, parts: new Map(parts.map(p => [p.id, p])), wiring: { chains: wiring, bar: { joint: q('0.2 mΩ', 'resistance') } },
    powerUp: ['insert LK1', 'turn Q1 to CHARGE', 'wait 2 s', 'turn Q1 to ON', 'turn Q2 to CHARGE', 'wait 2 s', 'turn Q2 to ON'].map(step), powerDown: [], surroundings: { ambient: q('25 °C', 'temperature'), inside: ranged('temperature', 40, 25, 65, 'class default') }, match: q('180 s', 'time'), notes: new Map() };
}
