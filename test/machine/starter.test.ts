import { describe, expect, it } from 'vitest';
import { buildCircuit } from '../../src/machine/circuit/circuit.ts';
import { planSteps } from '../../src/machine/circuit/power-up.ts';
import { formatIssue } from '../../src/machine/file/issue.ts';
import { readMachine } from '../../src/machine/file/read.ts';
import type { Machine } from '../../src/machine/machine.ts';
import { starterMachine } from '../../src/machine/starter.ts';
import { leadGauge, starterChoices } from '../../src/machine/starter/choices.ts';
import type { StarterFacts } from '../../src/machine/starter/facts.ts';
import { parseQuantity } from '../../src/quantity/parse.ts';
import type { Dimension, Quantity } from '../../src/quantity/quantity.ts';
import { sampler } from '../../src/quantity/random.ts';
import { askQuestions } from '../../src/questions/ask.ts';
import { external } from '../external.ts';

const PROVE = process.env['AMPWRIGHT_PROVE'] === '1';
const MACHINES = PROVE ? 1000 : 100;
const SEED = 20261125;

function quantity(text: string, dimension: Dimension): Quantity {
  const parsed = parseQuantity(text, dimension);
  if (!parsed.ok) throw new Error(`${text}: ${parsed.found}`);
  return parsed.quantity;
}

const amps = (text: string): Quantity => quantity(text, 'current');

const LIFTER: StarterFacts = {
  name: 'LIFTER', cells: 6, chemistry: 'lipo', capacity: quantity('3.3 Ah', 'charge'), drive: { count: 2, rating: amps('60 A') }, weapon: amps('80 A'),
  isolators: 'main', softStart: 'suggest', fuse: undefined, radioSupply: 'converter',
};

const NAMES = ['LIFTER', 'bar 2', 'yes', '7', 'null', 'a: b', '# not a comment', '- item', "O'Ring", 'say "spin"', '{brace}', '!tag', '&anchor', '*alias', 'back\\slash', '日本', '🤖 robot', '%percent', '@at', '`tick`', 'true', '1e3', '~', 'x # y'];

function randomFacts(sample: number): StarterFacts {
  const uniform = sampler(SEED, sample);
  const among = <T>(options: readonly T[]): T => options[Math.floor(uniform() * options.length)]!;
  const between = (low: number, high: number): number => Number((low * (high / low) ** uniform()).toPrecision(2));
  const ends = ['', ' (measured)', ' ±10 %', ', datasheet'] as const;
  const rating = (): Quantity => amps(`${between(5, 300)} A${among(ends)}`);
  const isolators = among(['main', 'branch', 'links'] as const);
  return {
    name: among(NAMES),
    cells: 1 + Math.floor(uniform() * 20),
    chemistry: among(['lipo', 'nca', 'nmc', 'lfp'] as const),
    capacity: quantity(uniform() < 0.5 ? `${between(0.2, 60)} Ah${among(ends)}` : `${between(200, 60_000)} mAh`, 'charge'),
    drive: { count: 1 + Math.floor(uniform() * 4), rating: rating() },
    weapon: uniform() < 0.3 ? undefined : rating(),
    isolators,
    softStart: isolators === 'links' ? among(['suggest', 'none', 'button'] as const) : among(['suggest', 'none', 'charge', 'button'] as const),
    fuse: uniform() < 0.5 ? undefined : amps(`${between(10, 400)} A`),
    radioSupply: among(['converter', 'controller'] as const),
  };
}

function machineOf(text: string): Machine {
  const result = readMachine(text);
  expect((result.ok ? result.questions : result.issues).map((issue) => formatIssue(issue, 'new.yaml')), text).toEqual([]);
  if (!result.ok) throw new Error('not read');
  return result.machine;
}

/** Contacts that the steps leave closed, by name. */
function closedAfter(machine: Machine): ReadonlySet<string> {
  const closed = new Set<string>();
  for (const step of machine.powerUp) {
    if (step.act === 'turn') {
      if (step.position === 'ON') closed.add(step.part);
      else closed.delete(step.part);
    } else if (step.act === 'close' || step.act === 'insert' || step.act === 'press') closed.add(step.part);
    else if (step.act === 'release') closed.delete(step.part);
  }
  return closed;
}

describe(`starter machines of random facts, seeds ${SEED}/0 to ${MACHINES - 1}`, () => {
  it('read back without an issue or a question, and say what was given', () => {
    for (let sample = 0; sample < MACHINES; sample += 1) {
      const facts = randomFacts(sample);
      const machine = machineOf(starterMachine(facts));
      const controllers = [...machine.parts.values()].filter((part) => part.kind === 'controller');
      expect(machine.name).toBe(facts.name);
      expect(controllers.map(({ values }) => values.motorCurrent)).toEqual([...Array.from({ length: facts.drive.count }, () => facts.drive.rating), ...(facts.weapon === undefined ? [] : [facts.weapon])]);
      expect(machine.parts.get('G1')?.values).toMatchObject({ cells: { value: facts.cells }, chemistry: facts.chemistry, capacity: facts.capacity });
      if (facts.fuse !== undefined) expect(machine.parts.get('F1')?.values).toMatchObject({ rating: facts.fuse });
      expect(controllers.every(({ values }) => values.capacitance?.origin === 'class default' && values.standby?.origin === 'class default')).toBe(true);
    }
  });

  it('have a procedure that closes every main contact, lets every button go, and a power-down that opens what it closed', () => {
    for (let sample = 0; sample < MACHINES; sample += 1) {
      const machine = machineOf(starterMachine(randomFacts(sample)));
      const mains = [...machine.parts.values()].filter(({ kind }) => kind === 'isolator' || kind === 'link').map(({ id }) => id);
      expect([...closedAfter(machine)].sort(), `sample ${sample}`).toEqual(mains.sort());
      const opened = machine.powerDown.flatMap((step) => ('part' in step ? [step.part] : []));
      expect([...opened].sort(), `sample ${sample}`).toEqual(mains);
      if (sample % 5 !== 0) continue;
      const circuit = buildCircuit(machine);
      const resistors = [...machine.parts.values()].filter(({ kind }) => kind === 'resistor');
      const { closings } = planSteps(circuit, machine.powerUp, 'power up', circuit.inputs.nominal(), 0);
      // Every soft start is used before the contact that it prepares.
      const soft = closings.filter(({ part, way }) => way.through !== undefined || machine.parts.get(part)?.kind === 'button');
      expect(soft, `sample ${sample}`).toHaveLength(resistors.length);
      for (const one of soft) expect(closings.some(({ part, time_s }) => mains.includes(part) && time_s > one.time_s)).toBe(true);
    }
  });

  it('are answered without a refusal, and their soft starts finish, every tenth of them', { timeout: 600_000 }, async () => {
    const refusals: string[] = [];
    const hanging: string[] = [];
    for (let sample = 0; sample < MACHINES; sample += 10) {
      const text = starterMachine(randomFacts(sample));
      for (const { id, verdict, refused, says } of await askQuestions({ machine: machineOf(text), text, samples: 0, seed: 1 })) {
        if (refused !== undefined) refusals.push(`sample ${sample}, ${id}: ${refused}`);
        if (id === 'stall' && verdict === 'bad') hanging.push(`sample ${sample}: ${says}`);
      }
    }
    expect(refusals).toEqual([]);
    expect(hanging).toEqual([]);
  });
});

describe('a starter machine', () => {
  const withLifter = (facts: Partial<StarterFacts>): StarterFacts => ({ ...LIFTER, ...facts });

  it('leaves out what was not said, and names what is taken and how to find it', () => {
    const text = starterMachine(LIFTER);
    const t1 = text.slice(text.indexOf('  T1:'), text.indexOf('  T2:'));
    expect(t1).not.toMatch(/^ {4}(?:capacitance|series resistance|standby|logic start):/m);
    for (const field of ['capacitance', 'series resistance', 'standby', 'logic start']) expect(t1).toMatch(new RegExp(`^ {4}# ${field} not given: class default [^;]+ \\([^;]+\\); `, 'm'));
    expect(text).toContain('pack: from G1+, 8 AWG 0.4 m (assumed), X1, F1, to feed');
  });

  it('has the arrangement that was asked for', () => {
    expect(starterMachine(withLifter({ softStart: 'charge' }))).toContain('positions: { OFF: open, CHARGE: through R1, ON: direct }');
    expect(starterMachine(withLifter({ softStart: 'button' }))).toContain('  soft start: from feed, R1, S1, to bus\n');
    expect(starterMachine(withLifter({ softStart: 'none' }))).not.toContain('kind: resistor');
    const links = starterMachine(withLifter({ isolators: 'links', softStart: 'button' }));
    expect(links).toMatch(/procedure:\n {2}- crew: transmitter on\n {2}- insert LK2\n {2}- press S1\n {2}- wait 2 s\n {2}- insert LK1\n {2}- release S1\n/);
    const branches = starterMachine(withLifter({ isolators: 'branch', softStart: 'charge' }));
    expect(branches).toContain('weapon: from bar, Q2, 10 AWG 0.4 m (assumed), to T3\n');
    expect(branches).toMatch(/turn Q2 to OFF\n {2}- turn Q1 to OFF/);
    expect(starterMachine(withLifter({ radioSupply: 'controller' }))).toContain('radio supply inside T1');
  });

  // Source: common practice, no source: a machine of 1.4 kg with three cells and about 0.5 mF needs no soft start (its
  // capacitors hold 45 mJ); one of ten cells and 5 mF does.
  it('suggests a soft start for a large machine and none for a small one', () => {
    const small = withLifter({ cells: 3, capacity: quantity('0.65 Ah', 'charge'), drive: { count: 1, rating: amps('10 A') }, weapon: amps('35 A') });
    expect(starterChoices(small).softStart).toBe('none');
    const large = withLifter({ cells: 10, capacity: quantity('8 Ah', 'charge'), drive: { count: 2, rating: amps('120 A') }, weapon: amps('150 A') });
    expect(starterChoices(large).softStart).toBe('charge');
    expect(starterChoices({ ...large, isolators: 'links' }).softStart).toBe('button');
  });

  it('takes a converter that a small pack can start', () => {
    for (const cells of [1, 2, 3]) expect(starterChoices(withLifter({ cells })).radio.start_V ?? 8).toBeLessThan(3 * cells);
  });

  it.each([
    ['no cells', { cells: 0 }, /cells: expected a whole number from 1 to 20/],
    ['too many cells', { cells: 21 }, /cells/],
    ['cells that are no number', { cells: NaN }, /cells/],
    ['nine drive controllers', { drive: { count: 9, rating: amps('5 A') } }, /drive/],
    ['an empty name', { name: ' ' }, /name: expected 1 to 80/],
    ['a name that cannot be printed', { name: 'a\u0007' }, /cannot be printed/],
    ['a capacity in amperes', { capacity: amps('3 A') }, /capacity: expected a charge/],
    ['a link with a charge position', { isolators: 'links', softStart: 'charge' }, /a link has no charge position/],
  ] as const)('refuses %s', (_, facts, message) => {
    expect(() => starterMachine(withLifter(facts as Partial<StarterFacts>))).toThrow(message);
  });
});

// Source: currents that silicone leads are used at in short matches, lower ends: common practice, no source.
describe('the gauge of a lead', () => {
  it.each([[8, 22], [12, 20], [20, 18], [30, 16], [45, 14], [70, 12], [110, 10], [160, 8]])('%f A: %f AWG, and one size up just above', (most_A, gauge) => {
    external({ source: 'silicone leads in short matches, lower ends', what: `gauge for ${most_A} A`, expected: gauge, got: leadGauge(most_A), unit: 'AWG', absolute: 0, note: 'common practice, no source' });
    expect(leadGauge(most_A * 1.001)).toBe(gauge - 2);
  });
});

// Source: IEC 60063:2015, E12 series.
describe('a first soft-start resistor', () => {
  const E12_PRINTED = [10, 12, 15, 18, 22, 27, 33, 39, 47, 56, 68, 82];

  it(`is of the E12 series, leaves what may be missing, and the next one up does not; seeds ${SEED}/0 to 199`, () => {
    let seen = 0;
    for (let sample = 0; sample < 200; sample += 1) {
      for (const { softStart } of starterChoices(randomFacts(sample)).branches) {
        if (softStart === undefined) continue;
        const { resistance_ohm: R, drawn_A, missing_V, start_ohm } = softStart;
        const step = E12_PRINTED.findIndex((printed) => Math.abs(Math.log10(R / printed) - Math.round(Math.log10(R / printed))) < 1e-9);
        expect(step, `${R} Ω`).toBeGreaterThanOrEqual(0);
        const next = R * ((E12_PRINTED[step + 1] ?? 100) / E12_PRINTED[step]!);
        const passes = (ohm: number): boolean => ohm * drawn_A <= missing_V * (1 + 1e-9) && ohm <= start_ohm;
        expect([passes(R), passes(next)], `sample ${sample}`).toEqual([true, false]);
        seen += 1;
      }
    }
    expect(seen).toBeGreaterThan(80);
  });
});
