import type { Answer, Figure } from '../../src/questions/answer.ts';
import type { Report } from '../../src/sheets/report/report.ts';

// Answers as the questions could give them for the main demo machine: figures to lay out, not results to check.

const volts = (value: number, low = value, high = value): Figure => ({ value, unit: 'V', dimension: 'voltage', low, high });
const seconds = (value: number, low = value, high = value): Figure => ({ value, unit: 's', dimension: 'time', low, high });

const nothing = { needs: [], refused: undefined, parts: [], evidence: [], advice: [], basis: [], cautions: [], notAProblem: [] } as const;

/** A bus that charges to 9 V and then falls to 7.5 V and starts again, over and over. */
function hiccup(): { x: number[]; y: number[] } {
  const x = Array.from({ length: 6000 }, (_, index) => index / 3000);
  const rise_s = 0.1;
  const y = x.map((time_s) => (time_s < rise_s ? 9 * (time_s / rise_s) : 9 - 1.5 * (((time_s - rise_s) / 0.034) % 1)));
  return { x, y };
}

function charge(end_V: number, constant_s: number): { x: number[]; y: number[] } {
  const x = Array.from({ length: 400 }, (_, index) => index / 199.5);
  return { x, y: x.map((time_s) => end_V * (1 - Math.exp(-time_s / constant_s))) };
}

export const SPARK: Answer = {
  ...nothing,
  id: 'spark',
  question: 'Will closing a switch spark?',
  verdict: 'bad',
  says: '34 V is missing when the drive isolator Q1 turns to ON: 2.3 J and about 1 kA go through its contact, every time.',
  figure: volts(33.7, 31.2, 34.4), limit: 4, margin: -29.7, passes: 0,
  items: [
    {
      where: 'drive isolator Q1 to ON', verdict: 'bad', measure: 'missing when it closes', figure: volts(33.7, 31.2, 34.4), limit: 4, margin: -29.7, passes: 0,
      parts: ['Q1', 'R1', 'T3'], says: 'The bus never passes 9 V on CHARGE. Closing dissipates 2.3 J with a peak near 1 kA; the contact melts at its touching spots.', slip: false,
    },
    {
      where: 'arm isolator Q2 to ON', verdict: 'marginal', measure: 'missing when it closes', figure: volts(5.6, 4.8, 6.9), limit: 6, margin: 0.4, passes: 0.71,
      parts: ['Q2'], says: '24 mJ and about 110 A.', slip: false,
    },
    {
      where: 'removable link LK1 put in with Q1 on ON', verdict: 'bad', measure: 'missing when it closes', figure: volts(42), limit: 4, margin: -38, passes: 0,
      parts: ['LK1'], says: 'Nothing limits the current but the leads: 3.6 J.', slip: true,
    },
    {
      where: 'connector X1 plugged in', verdict: 'good', measure: 'missing when it closes', figure: volts(0), limit: 4, margin: 4, passes: 1, parts: ['X1'], says: 'Nothing is connected behind the open link.', slip: false,
    },
  ],
  parts: ['Q1', 'R1'],
  evidence: [
    {
      type: 'plot', title: 'Current through Q1 as it turns to ON', x: { name: 'time', unit: 's' }, y: { name: 'current', unit: 'A' },
      curves: [{ name: 'through the contact', x: [0, 2e-6, 5e-6, 1e-5, 2e-5, 4e-5, 8e-5, 1.6e-4, 3e-4, 5e-4], y: [0, 240, 520, 830, 1010, 960, 610, 190, 20, 1] }],
      thresholds: [{ name: 'make rating', at: 450, axis: 'y' }], marks: [{ x: 2e-5, y: 1010, name: 'peak 1.01 kA' }],
    },
    { type: 'table', title: 'What the closing costs', head: ['Contact', 'Energy', 'Charge', 'Peak', 'I²t'], rows: [['Q1 to ON', '2.3 J', '138 mC', '1.01 kA', '61 A²s'], ['Q2 to ON', '24 mJ', '8.4 mC', '110 A', '0.5 A²s']] },
  ],
  advice: [
    { what: '10 Ω instead of 100 Ω in the drive soft start', free: false, edits: [{ path: ['parts', 'R1', 'resistance'], text: '10 Ω' }], verdict: 'good', says: '2.7 V missing after two seconds on CHARGE.', caution: 'R1 takes 176 W when the branch is shorted.' },
    { what: 'turn Q2 before Q1', free: true, edits: [{ path: ['procedure', 3], text: 'turn Q2 to CHARGE' }], verdict: 'bad', says: 'Still 34 V missing at Q1.', caution: undefined },
  ],
  basis: ['contact bounce of Q1: class default, 1 to 5 ms', 'capacitance of T1 and T2: 2 mF ±20 %, stated'],
  cautions: ['Lock the arm and lift the wheels before any of this.'],
  notAProblem: ['The fuse F1 does not see the inrush long enough to age.'],
};

export const STALL: Answer = {
  ...nothing,
  id: 'stall',
  question: 'Does the soft start ever finish?',
  verdict: 'bad',
  says: 'No. At 9 V the converter T3 starts and asks for more than 100 Ω can pass, so the bus falls to 7.5 V and it stops. It did so 57 times in two seconds.',
  figure: { value: 100, unit: 'Ω', dimension: 'resistance', low: 95, high: 105 }, limit: 38, margin: -62, passes: 0,
  items: [
    { where: 'drive branch through R1', verdict: 'bad', measure: 'in the soft start', figure: { value: 100, unit: 'Ω', dimension: 'resistance', low: 95, high: 105 }, limit: 38, margin: -62, passes: 0, parts: ['R1'], says: 'Hangs between 7.5 V and 9 V for as long as one waits.', slip: false },
  ],
  evidence: [
    {
      type: 'plot', title: 'Drive bus over the two seconds on CHARGE', x: { name: 'time on CHARGE', unit: 's' }, y: { name: 'drive bus', unit: 'V' },
      curves: [
        { name: 'as built, 100 Ω', ...hiccup() },
        { name: 'with 10 Ω', ...charge(39.3, 0.045) },
        { name: 'what the R·C rule promises', ...charge(42, 0.41), dashed: true },
      ],
      thresholds: [{ name: 'T3 starts', at: 9, axis: 'y' }, { name: 'T3 stops', at: 7.5, axis: 'y' }, { name: 'good from', at: 38, axis: 'y' }, { name: 'absolute limit of T1', at: 160, axis: 'y' }],
      marks: [{ x: 2, y: 8.3, name: 'turned to ON here' }, { x: 0.8, y: 8.27, name: 'stuck' }],
    },
    {
      type: 'plot', title: 'Where it sticks: current given and asked', x: { name: 'bus voltage', unit: 'V' }, y: { name: 'current', unit: 'A' },
      curves: [
        { name: 'given by 100 Ω', x: [0, 42], y: [0.42, 0] },
        { name: 'asked', x: [0, 7.5, 7.5, ...Array.from({ length: 69 }, (_, index) => 8 + index / 2)], y: [0, 0, 0.9, ...Array.from({ length: 69 }, (_, index) => 0.1 + 8.2 / (8 + index / 2))], dashed: true },
        { name: 'given by 10 Ω', x: [30, 42], y: [1.2, 0] },
      ],
      thresholds: [{ name: 'T3 starts', at: 9, axis: 'x' }, { name: 'T3 stops', at: 7.5, axis: 'x' }],
      marks: [{ x: 9, y: 0.33, name: 'gets 0.33 A' }, { x: 39.3, y: 0.27, name: 'settles' }],
    },
  ],
  advice: [{ what: '33 Ω instead of 100 Ω', free: false, edits: [{ path: ['parts', 'R1', 'resistance'], text: '33 Ω' }], verdict: 'marginal', says: 'Finishes at 31.6 V, 10 V short.', caution: undefined }],
  basis: ['logic of T1 and T2: 45 mA above 8 V each, stated'],
};

export const HOLD: Answer = {
  ...nothing,
  id: 'hold',
  question: 'How long must the soft start be held?',
  verdict: 'good',
  says: 'The arm needs 0.62 s; two seconds are counted.',
  figure: seconds(2, 1.2, 3), limit: 0.62, margin: 1.38, passes: 0.995,
  items: [{ where: 'arm branch', verdict: 'good', measure: 'held', figure: seconds(2, 1.2, 3), limit: 0.62, margin: 1.38, passes: 0.995, parts: ['Q2', 'R2'], says: 'Long enough in nearly every sample.', slip: false }],
  basis: ['the crew counts two within 1 to 4 s: class default'],
};

export const UNTOLD: Answer = {
  ...nothing,
  id: 'trip',
  question: 'Will a battery protection trip on connecting?',
  verdict: 'cannot tell',
  says: 'The trip current of the protection is not given.',
  figure: undefined, limit: undefined, margin: undefined, passes: undefined, items: [],
  needs: ['short-circuit trip of B1'],
};

export const REFUSED: Answer = { ...UNTOLD, id: 'heat', question: 'Will anything overheat?', says: 'The numbers could not be trusted.', needs: [], refused: 'the energy balance missed 1e-6 at node drive' };

export function reportOf(answers: readonly Answer[] = [SPARK, HOLD, STALL, UNTOLD], machine = 'CRUSH10S'): Report {
  return { machine, fingerprint: 'k3f9a2m7qx', version: '0.1.0', seed: 1, samples: 200, answers: [...answers] };
}
