import { describe, expect, test } from 'vitest';
import { CONTACT_METALS, contactVoltage_V } from '../../src/physics/contacts.ts';
import { judgeClosing, type ClosingMeasures, type ContactData, type ContactJudgement } from '../../src/questions/contact-judgement.ts';
import { contactData, runClosing } from '../../src/questions/runs.ts';
import { external } from '../external.ts';
import { edited, plainMachine, softStartOf, studyOf, type Feed } from './machines.ts';

const NOTHING: ClosingMeasures = { missing_V: 5, peak_A: 10, letThrough_A2s: 1e-3, contact_J: 1e-6, melting_J: 0, arc_C: 0, spot_V: 0.01 };
const COPPER: ContactData = { metal: 'copper', rating_A: 100, make_A: 600 };
const RANK = { good: 0, marginal: 1, bad: 2, 'cannot tell': 3 };

const judged = (measures: Partial<ClosingMeasures>, contact: Partial<ContactData> = {}): ContactJudgement => judgeClosing({ ...NOTHING, ...measures }, { ...COPPER, ...contact });

describe('melting voltages', () => {
  // Source: psi-theta relation and table of melting voltages, R. Holm, Electric Contacts, 4th ed. 1967.
  // Tolerance 10 %: the table's figures have two digits, and the relation leaves the thermoelectric part out.
  for (const [metal, melting_V, melting_C] of [['copper', 0.43, 1083], ['silver', 0.37, 961], ['tin', 0.13, 232]] as const)
    test(`${metal} melts at ${melting_V} V, and a spot below it melts nothing`, () => {
      external({ source: 'R. Holm, Electric Contacts, 4th ed. 1967, psi-theta relation', what: `melting voltage of ${metal} from its melting point`, expected: melting_V, got: contactVoltage_V(melting_C), unit: 'V', relative: 0.1 });
      expect(judged({ spot_V: 0.97 * melting_V, peak_A: 500 }, { metal }).meltedSpot_m).toBe(0);
      expect(judged({ spot_V: 1.03 * melting_V, peak_A: 500 }, { metal }).meltedSpot_m).toBeGreaterThan(0);
    });

  test('the same closing melts tin and not silver', () => {
    expect(judged({ spot_V: 0.2, peak_A: 100 }, { metal: 'tin' }).meltedSpot_m).toBeGreaterThan(0);
    expect(judged({ spot_V: 0.2, peak_A: 100 }, { metal: 'silver' }).meltedSpot_m).toBe(0);
  });
});

describe('each of three mechanisms can decide', () => {
  test('metal melted at the touching spots, by its enthalpy', () => {
    // Copper takes 8960 kg/m³ · (440 J/(kg K) · 1063 K + 205 kJ/kg) = 6.03 GJ/m³ to melt from 20 °C. A face of
    // 100 A / (15 A/mm²) with a usable tenth of a millimetre holds 6.67e-10 m³: 40.2 mJ a closing wear it in 100.
    const measures = { melting_J: 40.2e-3, contact_J: 45e-3, spot_V: 2 };
    const judgement = judged(measures);
    external({ source: 'hand arithmetic with the metal and face constants of the method', what: 'closings until worn: copper contact of 100 A, 40.2 mJ melting', expected: 100, got: judgement.closings, unit: '1', relative: 0.01 });
    expect(judgement).toMatchObject({ verdict: 'bad', decides: 'melting at the touching spots' });
    expect(judged({ ...measures, melting_J: 40.2e-3 / 3 }).verdict).toBe('marginal');
    expect(judged({ ...measures, melting_J: 40.2e-3 / 6 }).verdict).toBe('good');
  });

  test('metal eroded by arcs', () => {
    const judgement = judged({ arc_C: 5, contact_J: 60, melting_J: 0 });
    expect(judgement).toMatchObject({ verdict: 'bad', decides: 'arcs in its bounces' });
    expect(judged({ arc_C: 1e-4, contact_J: 1e-3 }).verdict).toBe('good');
  });

  test('the make rating, by current and by let-through', () => {
    expect(judged({ peak_A: 3000 })).toMatchObject({ verdict: 'bad', decides: 'its make rating' });
    expect(judged({ peak_A: 2200 })).toMatchObject({ verdict: 'marginal', decides: 'its make rating' });
    expect(judged({ letThrough_A2s: 600 ** 2 * 1e-3 * 4 })).toMatchObject({ verdict: 'bad', decides: 'its make rating' });
    expect(judged({ peak_A: 599, letThrough_A2s: 100 }).verdict).toBe('good');
  });
});

describe('order', () => {
  for (const key of ['peak_A', 'letThrough_A2s', 'melting_J', 'arc_C'] as const)
    test(`more of ${key} never makes a verdict better`, () => {
      let last = judged({ [key]: 0 });
      for (let k = -6; k <= 5; k += 0.25) {
        const next = judged({ [key]: 10 ** k });
        expect(next.load).toBeGreaterThanOrEqual(last.load);
        expect(RANK[next.verdict]).toBeGreaterThanOrEqual(RANK[last.verdict]);
        last = next;
      }
      expect(last.verdict).toBe('bad');
    });

  test('a larger contact never has a worse verdict', () => {
    let last = judged({ peak_A: 900, letThrough_A2s: 50, melting_J: 0.02, spot_V: 1 }, { rating_A: 1, make_A: 6 });
    expect(last.verdict).toBe('bad');
    for (let rating_A = 1; rating_A < 2000; rating_A *= 1.2) {
      const next = judged({ peak_A: 900, letThrough_A2s: 50, melting_J: 0.02, spot_V: 1 }, { rating_A, make_A: 6 * rating_A });
      expect(next.load).toBeLessThanOrEqual(last.load);
      last = next;
    }
    expect(last.verdict).toBe('good');
  });
});

describe('what cannot be judged', () => {
  for (const key of Object.keys(NOTHING) as (keyof ClosingMeasures)[])
    for (const value of [NaN, Infinity])
      test(`${key} of ${value} is refused`, () => {
        expect(() => judged({ [key]: value })).toThrow(key);
      });
  test('ratings that are no numbers are refused', () => {
    expect(() => judged({}, { rating_A: NaN })).toThrow(RangeError);
    expect(() => judged({}, { make_A: NaN })).toThrow(RangeError);
    expect(() => judged({}, { make_A: 0 })).toThrow(RangeError);
  });
});

describe('a simulated closing', () => {
  const feed: Feed = { cells: 10, resistance_ohm: 33, controllers: [{ capacitance_F: 4e-3, standby_A: 0, above_V: 8 }], converters: [] };
  const base = studyOf(edited(plainMachine(feed), { 'parts.G1.cell resistance': '1.6 mΩ', 'parts.Q1.bounce': '0.3 ms', 'parts.Q1.force rise': '0.5 ms' }));
  const softStart = softStartOf(base);
  const { part, way } = softStart.mains[0]!;
  const close = (missing_V: number, values = base.values) => runClosing({ circuit: base.circuit, part, way, closed: softStart.closed, banks: softStart.banks, missing_V, values });

  test('weighs more the more is missing', () => {
    const contact = contactData(base.circuit, part, base.values);
    let last = -Infinity;
    for (let missing_V = 0.5; missing_V <= 42; missing_V += 2) {
      const { load } = judgeClosing(close(missing_V), contact);
      expect(load).toBeGreaterThanOrEqual(last);
      last = load;
    }
  });

  test('draws no arc with a current below the least that burns one', () => {
    // 0.43 A for copper (R. Holm, Electric Contacts, 4th ed. 1967): 5 mV over a loop of tens of milliohms stay below it.
    const measures = close(0.005);
    expect(measures.peak_A).toBeLessThan(CONTACT_METALS.copper.minimumArc_A);
    expect(measures.arc_C).toBe(0);
  });

  test('below the least arc voltage only what the loop has stored burns', () => {
    // 13 V for copper (R. Holm). With less than that across the gap the arc lives on the inductance alone, so its charge
    // is at most the stored energy over what the arc needs beyond the source: (½ L I²)/(13 V - missing), for three bounces.
    const missing_V = 6;
    const measures = close(missing_V);
    const p = base.circuit.parametersFor(base.values);
    const loop_H = [...new Set([...base.circuit.ways.values()].flat().map((w) => w.branch))].reduce((sum, branch) => sum + p[branch.inductance]!, 0) + 0.2e-6;
    expect(measures.arc_C).toBeGreaterThan(0);
    expect(measures.arc_C).toBeLessThan((3 * 0.5 * loop_H * measures.peak_A ** 2) / (13 - missing_V));
  });

  test('a bounce on the whole pack burns longer than its loop alone could feed', () => {
    const hard = close(42);
    const soft = close(6);
    expect(hard.arc_C / soft.arc_C).toBeGreaterThan((42 / 6) ** 1.5);
    const quiet = Float64Array.from(base.values);
    quiet[base.circuit.inputs.at('Q1.bounce')] = 0;
    expect(close(42, quiet).arc_C).toBe(0);
  });

  test('dissipates what a capacitor charged across a step has to: half C times the missing voltage squared', () => {
    // The contact itself takes part of it, never more.
    for (const missing_V of [2, 10, 42]) {
      const { contact_J, melting_J, letThrough_A2s } = close(missing_V);
      expect(contact_J).toBeLessThan(0.5 * 4e-3 * missing_V ** 2);
      expect(melting_J).toBeLessThanOrEqual(contact_J * 1.001);
      expect(letThrough_A2s).toBeGreaterThan(0);
    }
  });
});
