import { sampler } from '../../../src/quantity/random.ts';

const WORDS = ['left', 'drive', 'controller', 'pack', 'lamp', 'arm', 'isolator with a long handle', 'radio', 'fuse', 'of the', 'second', 'behind the plate', 'main'];
const GAUGES = ['8 AWG', '10 AWG', '12 AWG', '18 AWG', '24 AWG', '16 mm²', '1.5 mm²'];

/** A valid machine file with about so many parts, the same for the same seed. */
export function randomMachine(seed: number, size: number): string {
  const next = sampler(seed, size);
  const pick = <T>(list: readonly T[]): T => list[Math.floor(next() * list.length)]!;
  const chance = (share: number): boolean => next() < share;
  const parts: string[] = [];
  const wiring: string[] = [];
  const returns: string[] = [];
  const grounds: string[] = [];
  const counters = new Map<string, number>();
  const add = (letter: string, fields: string): string => {
    const number = (counters.get(letter) ?? 0) + 1;
    counters.set(letter, number);
    const id = chance(0.05) ? `${pick(['aft', 'Main', 'Z'])}${letter}${number}` : `${letter}${number}`;
    const about = chance(0.7) ? `, about: "${Array.from({ length: 1 + Math.floor(next() * 5) }, () => pick(WORDS)).join(' ')}"` : '';
    parts.push(`  ${id}: { ${fields}${about} }`);
    return id;
  };
  let chains = 0;
  const chain = (list: string[], text: string): void => void list.push(`  ${pick(WORDS)} ${(chains += 1)}: ${text}`);
  const lead = (share: number): string[] => (chance(share) ? [`${pick(GAUGES)} ${(0.05 + next()).toFixed(2)} m${chance(0.3) ? ` ${pick(['red', 'BK', 'green/yellow'])}` : ''}`] : []);
  const inLine = (): string => {
    switch (Math.floor(next() * 12)) {
      case 0: return add('X', 'kind: connector');
      case 1: return add('X', 'kind: connector, built in resistor: 5.6 Ω');
      case 2: return add('LK', 'kind: link');
      case 3: return add('F', 'kind: fuse, rating: 60 A');
      case 4: {
        const resistor = add('R', 'kind: resistor, resistance: 33 Ω, power: 10 W');
        return add('Q', `kind: isolator, positions: { OFF: open, CHARGE: through ${resistor}, ON: direct }`);
      }
      case 5: return add('Q', 'kind: isolator');
      case 6: return add('D', `kind: ${chance(0.5) ? 'diode' : 'ideal diode'}, rating: 60 A`);
      case 7: return add('S', 'kind: button');
      case 8: {
        const resistor = chance(0.5) ? `, soft start: ${add('R', 'kind: resistor, resistance: 47 Ω')}` : '';
        return add('K', `kind: contactor, rating: 100 A${resistor}`);
      }
      case 9: return add('Q', 'kind: solid-state switch, rating: 60 A');
      case 10: return add('F', 'kind: protection, rating: 60 A');
      default: return chance(0.5) ? add('X', 'kind: joint') : add('R', 'kind: inrush limiter, resistance: 10 Ω');
    }
  };
  const way = (most: number): string => [...lead(0.5), ...Array.from({ length: Math.floor(next() * (most + 1)) }, inLine), ...lead(0.5)].map((item) => `${item}, `).join('');
  const places = ['bar'];
  const packs = chance(0.2) ? 2 : 1;
  for (let k = 0; k < packs; k += 1) chain(wiring, `from ${add('G', chance(0.1) ? 'kind: bench supply, voltage: 24 V, limit: 2 A' : `kind: pack, chemistry: lipo, cells: ${3 + Math.floor(next() * 9)}, capacity: 5 Ah`)}+, ${way(3)}to bar`);
  const outputs: string[] = [];
  const heavy: string[] = [];
  // Something must hang on the bar, however many parts stand before it.
  for (let loads = 0; parts.length < size || loads === 0; loads += 1) {
    const from = loads === 0 ? 'bar' : outputs.length > 0 && chance(0.3) ? pick(outputs) : pick(places);
    const kind = next();
    if (kind < 0.12 && parts.length < size - 4) {
      const place = `place ${places.length}`;
      chain(wiring, `from ${from}, ${way(3)}to ${place}`);
      if (chance(0.3) && from !== 'bar') chain(wiring, `from ${from}, ${add('R', 'kind: resistor, resistance: 22 Ω')}, ${add('S', 'kind: button')}, to ${place}`);
      const load = add('P', 'kind: lamp, resistance: 8.2 kΩ');
      chain(wiring, `from ${place}, to ${load}`);
      places.push(place);
      continue;
    }
    let load: string;
    if (kind < 0.4) {
      const motor = chance(0.7) ? `, drives: ${add('M', 'kind: motor, resistance: 20 mΩ')}` : '';
      load = add('T', `kind: controller, motor current: ${30 + Math.floor(next() * 100)} A${motor}`);
      heavy.push(load);
    } else if (kind < 0.5) load = add('T', 'kind: converter, output: 12 V, output current: 5 A');
    else if (kind < 0.6) load = add('T', 'kind: regulator, output: 5 V');
    else if (kind < 0.7) load = add('P', 'kind: lamp, resistance: 4.7 kΩ');
    else if (kind < 0.76) load = add('R', 'kind: bleed, resistance: 4.7 kΩ');
    else if (kind < 0.82) load = add('C', 'kind: capacitors, capacitance: 2.2 mF');
    else if (kind < 0.87) load = add('K', 'kind: receiver');
    else if (kind < 0.92) load = add('M', 'kind: servo');
    else if (kind < 0.96) load = add('E', 'kind: load, power: 20 W');
    else load = add('R', 'kind: brake resistor, resistance: 10 Ω, on: 55 V');
    chain(wiring, `from ${from}, ${way(kind < 0.4 ? 2 : 0)}to ${load}`);
    if (kind >= 0.4 && kind < 0.6) outputs.push(`${load} out`);
    else if (kind < 0.4 && chance(0.3)) places.push(load);
  }
  if (heavy.length > 2 && chance(0.5)) chain(returns, `from ${heavy[0]}-, ${lead(1).join('')}, to ${heavy[1]}-`);
  if (heavy.length > 1) for (const load of heavy.slice(1, 1 + Math.floor(next() * 4))) chain(grounds, `from ${load}-, ${lead(1).join('')}, to ${heavy[0]}-`);
  if (heavy.length > 0 && chance(0.2)) chain(grounds, `from ${heavy[0]}-, ${add('W', `kind: bench lead, present: ${chance(0.5) ? 'always' : 'on the bench'}`)}, to chassis`);
  return [
    'ampwright: 1', `machine: RANDOM ${seed}`, 'parts:', ...parts, 'wiring:', ...wiring,
    ...(returns.length === 0 ? ['returns: all negatives on one bar'] : ['returns:', '  general: all negatives on one bar', ...returns]),
    ...(grounds.length === 0 ? [] : ['signal grounds:', ...grounds]), '',
  ].join('\n');
}
