import { closeContact, openContact } from '../engine/devices/branch.ts';
import { simulate } from '../engine/simulate.ts';
import type { ClosingMeasures } from './contact-judgement.ts';
import { connect, supplyVoltage, TOUCH_S, trusted } from './runs.ts';
import type { PlacedSoftStart, Study } from './study.ts';

export interface EarlyRelease {
  /** Direct current that the contact breaks, A. */
  readonly broken_A: number;
  /** Whether an arc burns. */
  readonly arc: boolean;
  readonly measures: ClosingMeasures;
}

/** A soft start is let go as soon as its contact has its force, s after the touch. */
const LET_GO_S = 2e-3;

/**
 * Starts a soft start on empty banks and lets it go at once, when its current is largest. The arc is held at its voltage
 * until the banks have come up; a real gap widens and puts it out sooner.
 */
export function releaseEarly({ circuit, values }: Study, softStart: PlacedSoftStart): EarlyRelease {
  const { entry } = softStart;
  const contact = entry.branch.contacts[entry.contact]!;
  const parameters = circuit.parametersFor(values);
  connect(circuit, parameters, softStart.closed);
  const supply_V = supplyVoltage(circuit, values);
  const initial = new Float64Array(circuit.model.plan.unknowns);
  for (const bank of circuit.loads.banks) if (!softStart.banks.includes(bank)) initial[bank.capacitor.voltage] = supply_V;
  const capacitance = softStart.banks.reduce((sum, bank) => sum + bank.capacitance(values), 0);
  const resistance = values[circuit.inputs.at(`${softStart.resistor}.resistance`)]!;
  let broken_A = 0;
  let arc = false;
  const before = { energy: 0, charge: 0, letThrough: 0 };
  const run = trusted(
    simulate({
      model: circuit.model,
      parameters,
      initial,
      end_s: TOUCH_S + LET_GO_S + Math.max(0.02, 5 * resistance * capacitance),
      automata: circuit.automata,
      script: [
        { time: TOUCH_S, action: (r) => closeContact(r, entry.branch, contact) },
        {
          time: TOUCH_S + LET_GO_S,
          action: (r) => {
            broken_A = r.unknowns[entry.branch.current]!;
            before.letThrough = r.unknowns[entry.branch.letThrough]!;
            if (contact.wear !== undefined) {
              before.energy = r.unknowns[contact.wear.energy]!;
              before.charge = r.unknowns[contact.wear.arcCharge]!;
            }
            openContact(r, entry.branch, contact);
            arc = r.parameters[contact.arcing] !== 0;
          },
        },
      ],
      tolerance: 1e-4,
    }),
  );
  const wear = contact.wear;
  return {
    broken_A: Math.abs(broken_A),
    arc,
    measures: {
      missing_V: supply_V,
      peak_A: Math.abs(broken_A),
      letThrough_A2s: 0,
      contact_J: wear === undefined ? 0 : Math.max(0, run.unknowns[wear.energy]! - before.energy),
      melting_J: 0,
      arc_C: wear === undefined ? 0 : Math.abs(run.unknowns[wear.arcCharge]! - before.charge),
      spot_V: 0,
    },
  };
}
