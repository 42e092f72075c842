import { WIDTH } from '../../engine/network/network.ts';
import type { MachineNetwork, NetworkLoad } from '../../machine/network/machine-network.ts';

/** An exchange of equal branches: what stands where, and what takes its place. */
export interface Exchange {
  /** For each switch, source, load, strand and element the one that it becomes. */
  readonly rows: readonly number[];
  readonly sources: readonly number[];
  readonly loads: readonly number[];
  readonly strands: readonly number[];
  readonly elements: readonly number[];
}

/** Something that keeps its nodes: a strand, a load, a source, any other element. Equal ones have equal signatures. */
interface Unit {
  readonly signature: string;
  readonly nodes: readonly number[];
  /** Switches that it depends on, in the order of its signature. */
  readonly rows: readonly number[];
  /** Elements that it is made of, in the order of its signature. */
  readonly elements: readonly number[];
}

/**
 * Exchanges of a machine's branches that change nothing: every node, element, number and switch has an equal in its place.
 * Found by refining colours of nodes with one branch marked, and then verified unit by unit, so that none is taken on trust.
 * One for each switch, and each source, that has an equal further down the list: enough to reach every order of n equal branches.
 * @see B. D. McKay, Practical graph isomorphism, Congressus Numerantium 30 (1981) 45 (refinement and individualisation)
 */
export function exchanges(network: MachineNetwork, values: Float64Array): Exchange[] {
  const units = unitsOf(network, values);
  const rows = network.rows.map((row) => row.positions.map(({ name, ohm }) => `${name} ${ohm?.(values) ?? 'open'}`).join('/'));
  const firstUnit = (row: number): number => units.findIndex((unit) => unit.rows.includes(row));
  const sourceUnits = units.flatMap(({ signature }, u) => (signature.startsWith('source') ? [u] : []));
  const found = new Map<string, Exchange>();
  const attempt = (x: number, y: number): boolean => {
    if (x < 0 || y < 0 || x === y || units[x]!.signature !== units[y]!.signature) return false;
    const exchange = matched(network, units, rows, x, y);
    if (exchange !== undefined) found.set(JSON.stringify(exchange), exchange);
    return exchange !== undefined;
  };
  rows.forEach((_row, r) => {
    for (let other = r + 1; other < rows.length; other++) if (rows[other] === rows[r] && attempt(firstUnit(r), firstUnit(other))) return;
  });
  sourceUnits.forEach((u, s) => sourceUnits.slice(s + 1).some((other) => attempt(u, other)));
  return [...found.values()];
}

function unitsOf(machine: MachineNetwork, values: Float64Array): Unit[] {
  const { network, strands, loads, sources } = machine;
  const numbers = network.numbers.slice();
  machine.bind(numbers, values);
  const own = new Set<number>();
  let elements: number[] = [];
  const taken = (): number[] => {
    const all = elements;
    elements = [];
    return all;
  };
  const element = (e: number | undefined): string => {
    if (e === undefined) return '-';
    own.add(e);
    elements.push(e);
    return `${network.elements[e]!.kind}[${numbers.subarray(e * WIDTH, (e + 1) * WIDTH).join()}]`;
  };
  const units: Unit[] = [];
  for (const { strand, a, b, wire, diode, leakage, turned, cross } of strands)
    units.push({
      signature: `strand ${element(wire)} ${element(diode)} ${leakage?.(values)} ${element(turned)} ${element(cross?.element)} ${strand.items.reduce((sum, item) => sum + item.ohm(values), 0)} ${strand.switches.length} ${strand.gates.length}`,
      nodes: [a, b, ...(cross === undefined ? [] : [cross.a, cross.b])],
      rows: [...strand.switches, ...strand.gates],
      elements: taken(),
    });
  for (const load of loads) {
    const { plus, minus, logic = plus, output, motor, bank, waits, bench, isolatedBy } = load;
    units.push({
      signature: `load ${ends(load)} ${[load.starting, output, load.backwards, load.shunt, load.trial, load.drive, load.legs, ...load.draws].map(element).join(' ')}`
        + ` ${load.start(values)} ${load.stop(values)} ${bank?.(values)} ${motor?.breakaway(values)} ${motor?.resistance(values)} ${waits.map(({ position }) => position).join()} ${bench === undefined} ${isolatedBy === undefined}`,
      nodes: [plus, minus, logic, ...(output === undefined ? [] : [network.elements[output]!.a])],
      rows: [...waits.map(({ row }) => row), ...(bench === undefined ? [] : [bench]), ...(isolatedBy === undefined ? [] : [isolatedBy])],
      elements: taken(),
    });
  }
  for (const source of sources)
    units.push({
      signature: `source ${source.kind} ${element(source.element)} ${element(source.inItsPlace)} ${source.present(values)} ${source.voltage(values)}`,
      nodes: [source.plus, source.minus],
      rows: source.row === undefined || source.row < 0 ? [] : [source.row],
      elements: taken(),
    });
  network.elements.forEach(({ a, b, c }, e) => {
    if (!own.has(e)) units.push({ signature: `other ${element(e)}`, nodes: [a, b, c], rows: [], elements: taken() });
  });
  return units;
}

/** What decides how a load is classed, beside its numbers. */
function ends({ starting, motor }: NetworkLoad): string {
  return `${starting === undefined ? 'steady' : 'starts'} ${motor === undefined ? '' : 'drives'}`;
}

/** The exchange that takes unit x to y and y to x; undefined where there is none. */
function matched(network: MachineNetwork, units: readonly Unit[], rows: readonly string[], x: number, y: number): Exchange | undefined {
  const nodes = network.network.nodes.length;
  // Numbers in place of the long signatures.
  const all = [...new Set(units.map(({ signature }) => signature))];
  const names = units.map(({ signature }) => String(all.indexOf(signature)));
  const [from, to] = [names.slice(), names.slice()];
  from[x] = to[y] = `${names[x]} first`;
  from[y] = to[x] = `${names[x]} second`;
  const here = Array.from({ length: nodes }, (_, n): string => (n === 0 ? 'reference' : ''));
  const there = here.slice();
  for (let marks = 0; marks <= nodes; marks++) {
    refine(units, from, here, to, there);
    if ([...here].sort().join() !== [...there].sort().join()) return undefined;
    const unclear = here.findIndex((colour, n) => here.indexOf(colour) !== n || here.lastIndexOf(colour) !== n);
    if (unclear < 0) return verified(network, units, rows, here.map((colour) => there.indexOf(colour)));
    // A node that has equals for other reasons stays where it is, if it can.
    const stays = there[unclear] === here[unclear] ? unclear : there.indexOf(here[unclear]!);
    here[unclear] = there[stays] = `mark ${marks}`;
  }
  return undefined;
}

/** Splits colours of nodes by what the nodes join, in both pictures with the same names, until nothing splits. */
function refine(units: readonly Unit[], from: readonly string[], here: string[], to: readonly string[], there: string[]): void {
  for (let count = 0; ; ) {
    const seen = [colours(units, from, here), colours(units, to, there)] as const;
    const names = new Map([...new Set(seen.flat())].sort().map((name, k) => [name, String(k)]));
    seen[0].forEach((name, n) => (here[n] = names.get(name)!));
    seen[1].forEach((name, n) => (there[n] = names.get(name)!));
    if (names.size === count) return;
    count = names.size;
  }
}

function colours(units: readonly Unit[], signatures: readonly string[], before: readonly string[]): string[] {
  const around: string[][] = before.map((colour) => [colour]);
  units.forEach(({ nodes }, u) => {
    const ring = `${signatures[u]}(${nodes.map((node) => before[node]).join()})`;
    nodes.forEach((node, k) => around[node]!.push(`${k}${ring}`));
  });
  return around.map(([own, ...others]) => `${own}:${others.sort().join(';')}`);
}

/** The exchange that moves the nodes so, if every unit finds an equal where it comes to stand. */
function verified(network: MachineNetwork, units: readonly Unit[], rowNames: readonly string[], node: readonly number[]): Exchange | undefined {
  if (node[0] !== 0 || new Set(node).size !== node.length) return undefined;
  const rows: (number | undefined)[] = rowNames.map(() => undefined);
  const taken = new Set<number>();
  const image: number[] = [];
  for (const [u, unit] of units.entries()) {
    const nodes = unit.nodes.map((n) => node[n]!).join();
    const fits = (other: Unit, k: number): boolean => !taken.has(k) && other.signature === unit.signature && other.nodes.join() === nodes
      && unit.rows.every((row, r) => rows[row] === undefined || rows[row] === other.rows[r]);
    const at = fits(unit, u) ? u : units.findIndex(fits);
    if (at < 0) return undefined;
    taken.add(at);
    image[u] = at;
    for (const [r, row] of unit.rows.entries()) {
      const other = units[at]!.rows[r]!;
      if (rowNames[row] !== rowNames[other]) return undefined;
      rows[row] = other;
    }
  }
  const moved = rows.map((row, r) => row ?? r);
  if (new Set(moved).size !== moved.length) return undefined;
  const { strands, loads, sources } = network;
  return {
    rows: moved,
    loads: loads.map((_, k) => image[strands.length + k]! - strands.length),
    sources: sources.map((_, s) => image[strands.length + loads.length + s]! - strands.length - loads.length),
    strands: strands.map((_, s) => image[s]!),
    elements: elementImages(units, image),
  };
}

function elementImages(units: readonly Unit[], image: readonly number[]): number[] {
  const moved: number[] = [];
  units.forEach((unit, u) => {
    unit.elements.forEach((element, k) => (moved[element] = units[image[u]!]!.elements[k]!));
  });
  return moved;
}
