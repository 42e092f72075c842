import { describe, expect, test } from 'vitest';
import type { Answer } from '../../src/questions/answer.ts';
import { askQuestions } from '../../src/questions/ask.ts';
import { QUESTION_IDS } from '../../src/questions/catalogue.ts';
import { keepsTheRules } from './answer-rules.ts';
import { DEMO_NAMES, demoText, edited, machineOf, plainMachine } from './machines.ts';

const ask = (text: string, samples: number): Promise<Answer[]> => askQuestions({ machine: machineOf(text), text, samples, seed: 3 });

describe('every answer', () => {
  for (const name of DEMO_NAMES)
    test(`of ${name} keeps the rules, with spread and without, and says the same with the same seed`, async () => {
      const text = demoText(name);
      const nominal = await ask(text, 0);
      const spread = await ask(text, 12);
      for (const answers of [nominal, spread]) {
        expect(answers.map((answer) => answer.id)).toEqual(QUESTION_IDS);
        for (const answer of answers) keepsTheRules(answer, name);
      }
      for (const [k, answer] of spread.entries()) {
        expect(answer.items.map((item) => item.where)).toEqual(nominal[k]!.items.map((item) => item.where));
        // A guard that trips by chance has a share of its own on a slip too.
        for (const item of answer.items) if (answer.id !== 'trip' && (item.slip || ['spark', 'hold', 'stall'].includes(answer.id))) expect(item.passes === undefined, item.where).toBe(item.slip);
      }
      if (name === 'lift6s') expect(await ask(text, 12)).toEqual(spread);
    });

  test('with a spread that straddles the limit is marginal and says the share', async () => {
    const text = edited(
      plainMachine({ cells: 10, resistance_ohm: 30, controllers: [{ capacitance_F: 2e-3, standby_A: 0.09, above_V: 6 }], converters: [{ power_W: 7, start_V: 9, stop_V: 7.5 }] }),
      { 'parts.R1.resistance': '30 Ω (20 to 60)' },
    );
    // 38.0 ohms pass (algebra of the balance): of a spread of two uniform halves, 20 to 30 and 30 to 60 ohms, 63 % lie below.
    const [answer] = await askQuestions({ machine: machineOf(text), text, samples: 60, seed: 4, only: ['stall'] });
    expect(answer!.verdict).toBe('marginal');
    expect(Math.abs(answer!.passes! - (0.5 + 0.5 * (8 / 30)))).toBeLessThan(0.2);
    keepsTheRules(answer!, 'straddling');
  });
});

describe('only what is asked', () => {
  test('is answered, in its order', async () => {
    const text = demoText('bar3s');
    expect((await askQuestions({ machine: machineOf(text), text, samples: 0, seed: 1, only: ['stall', 'spark'] })).map((a) => a.id)).toEqual(['stall', 'spark']);
  });
  test('progress counts every sample once', async () => {
    const text = demoText('bar3s');
    const seen: [number, number][] = [];
    await askQuestions({ machine: machineOf(text), text, samples: 23, seed: 1, progress: (done, of, what) => { if (what === 'samples of the spread') seen.push([done, of]); } });
    expect(seen.at(-1)).toEqual([23, 23]);
    expect(seen.map(([done]) => done)).toEqual([...seen.map(([done]) => done)].sort((a, b) => a - b));
  });
  test('a pool gives the same answers as running here', async () => {
    const text = demoText('lift6s');
    const { sampleHere } = await import('../../src/questions/spread.ts');
    const { study } = await import('../../src/questions/study.ts');
    const machine = machineOf(text);
    const pool = { hands: 2, breath: async () => {}, records: async (of: string, seed: number, samples: readonly number[]) => sampleHere(study(machineOf(of)), seed, samples) };
    const here = await askQuestions({ machine, text, samples: 12, seed: 2 });
    expect(await askQuestions({ machine, text, samples: 12, seed: 2, pool })).toEqual(here);
  });
});

describe('numbers that cannot be trusted', () => {
  test('give "cannot tell" with a cause, and no verdict', async () => {
    // No file can hold what is not a number; where one came through all the same, the engine's own checks have to stop it.
    const text = plainMachine({ cells: 6, resistance_ohm: 22, controllers: [{ capacitance_F: 1e-3, standby_A: 0.03, above_V: 6 }], converters: [] });
    const machine = machineOf(text);
    const part = machine.parts.get('T1')!;
    if (part.kind !== 'controller') throw new Error('T1 is a controller');
    const broken = { ...part, values: { ...part.values, capacitance: { ...part.values.capacitance!, value: NaN } } };
    const answers = await askQuestions({ machine: { ...machine, parts: new Map(machine.parts).set('T1', broken) }, text, samples: 0, seed: 3, only: ['spark', 'hold', 'stall'] });
    expect(answers).toHaveLength(3);
    for (const answer of answers) {
      expect(answer.verdict, `${answer.id}: ${answer.says} ${JSON.stringify(answer.figure)}`).toBe('cannot tell');
      expect(answer.refused).toBeTruthy();
      expect(answer.says).toContain(answer.refused);
      expect(answer.items).toEqual([]);
      keepsTheRules(answer, 'broken');
    }
  });

  test('a procedure that closes nothing leaves the spark open and says what it needs', async () => {
    const text = `ampwright: 1
machine: STILL
mass: 1 kg
parts:
  G1: { kind: pack, chemistry: lipo, cells: 3, capacity: 1 Ah }
  Q1: { kind: isolator }
  T1: { kind: controller, motor current: 30 A }
wiring:
  all: from G1+, 16 AWG 0.1 m, Q1, to T1
returns: all negatives on one bar
`;
    const [spark] = await ask(text, 0);
    expect(spark).toMatchObject({ id: 'spark', verdict: 'cannot tell' });
    expect(spark!.needs).toHaveLength(1);
    keepsTheRules(spark!, 'still');
  });
});
