import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { addBranch, closeContact, openContact, type BranchHandle } from '../../src/engine/devices/branch.ts';
import { addCapacitor, type CapacitorHandle } from '../../src/engine/devices/capacitor.ts';
import { addDiode } from '../../src/engine/devices/diode.ts';
import { addConstantPower, addStandby, type ConstantPowerHandle } from '../../src/engine/devices/load.ts';
import { addSource } from '../../src/engine/devices/source.ts';
import { compile, type Model } from '../../src/engine/model.ts';
import type { ScheduledAction } from '../../src/engine/simulate.ts';
import { laidOut, type SystemBuilder } from '../../src/engine/system.ts';

export interface K1Data {
  readonly V0: number;
  readonly R_pack: number;
  readonly R_cable: number;
  readonly L_cable: number;
  readonly R_contact: number;
  readonly C1: number;
  readonly esr1: number;
  readonly C2: number;
  readonly esr2: number;
  readonly I_standby: number;
  readonly V_standby: number;
  readonly t_end: number;
}

interface K2Branch {
  readonly C: number;
  readonly esr: number;
  readonly P: number;
  readonly v_on: number;
  readonly v_off: number;
  readonly L: number;
  readonly R_cable: number;
  readonly R_contact: number;
  readonly t_close: number;
  readonly Is: number;
  readonly Rs: number;
}

export interface K2Data {
  readonly V0: number;
  readonly R_pack: number;
  readonly nVt: number;
  readonly v_floor: number;
  readonly t_release: number;
  readonly t_end: number;
  readonly branches: readonly K2Branch[];
}

export function referenceData<T>(name: string): T {
  return JSON.parse(readFileSync(join(process.cwd(), 'test/reference', `${name}.json`), 'utf8')) as T;
}

/** A contact that closes at once, as the reference problems have it. */
const IMMEDIATE = { forceRise_s: 0, melting_V: 1, arc_V: 12, arc_A: 0.4 };

export interface K1Circuit {
  readonly model: Model;
  readonly script: readonly ScheduledAction[];
  readonly branch: BranchHandle;
  readonly bank: CapacitorHandle;
  readonly terminalEnergy: number;
  readonly nodeWatch: number;
}

/** K1: hard make of one branch, from the engine's own devices. */
export function k1(data: K1Data, kernel: 'generated' | 'interpreted' | 'best' = 'best'): K1Circuit {
  return laidOut((b) => k1In(b, data, kernel));
}

function k1In(b: SystemBuilder, data: K1Data, kernel: 'generated' | 'interpreted' | 'best'): K1Circuit {
  const terminal = b.node('terminal');
  const drive = b.parameter('V0', data.V0);
  const branch = addBranch(b, 'lead', b.reference, terminal, {
    resistance_ohm: data.R_pack + data.R_cable,
    inductance_H: data.L_cable,
    drive: drive.value,
    contacts: [{ name: 'switch', law: { closed_ohm: data.R_contact, ...IMMEDIATE }, closedAtStart: false }],
  });
  const bank = addCapacitor(b, 'bank', terminal, b.reference, data.C1, data.esr1);
  addCapacitor(b, 'ceramic', terminal, b.reference, data.C2, data.esr2);
  addStandby(b, 'logic', terminal, b.reference, data.I_standby, data.V_standby);
  const terminalEnergy = b.quadrature('terminal energy', b.graph.multiply(terminal.voltage, branch.value), 1);
  const nodeWatch = b.watch('terminal', terminal.voltage);
  const model = compile(b.finish(1), kernel);
  const script = [{ time: 0, action: (run: Parameters<ScheduledAction['action']>[0]) => closeContact(run, branch, branch.contacts[0]!) }];
  return { model, script, branch, bank, terminalEnergy, nodeWatch };
}

export interface K2Circuit {
  readonly model: Model;
  readonly script: readonly ScheduledAction[];
  readonly branches: readonly { readonly lead: BranchHandle; readonly bank: CapacitorHandle; readonly load: ConstantPowerHandle }[];
  readonly busWatch: number;
  /** Parameter: resistance behind the button, Ω. */
  readonly button: number;
  readonly resistorHeat: number;
}

/** K2: one button and resistor, three branches behind diodes, each with a bank and a latching constant-power load. */
export function k2(data: K2Data, resistance_ohm: number, kernel: 'generated' | 'interpreted' | 'best' = 'best'): K2Circuit {
  return laidOut((b) => k2In(b, data, resistance_ohm, kernel));
}

function k2In(b: SystemBuilder, data: K2Data, resistance_ohm: number, kernel: 'generated' | 'interpreted' | 'best'): K2Circuit {
  const g = b.graph;
  const bus = b.node('bus');
  const behind = b.node('behind the resistor');
  addSource(b, 'pack', bus, b.reference, data.V0, data.R_pack);
  // The reference has no inductance in the button's lead, so a test-only device carries g (v_b - v_p).
  const button = b.parameter('button resistance', resistance_ohm);
  const pressed = b.parameter('button pressed', 1);
  const across = g.subtract(bus.voltage, behind.voltage);
  const flow = g.divide(g.multiply(pressed.value, across), button.value);
  b.flow(bus, behind, flow);
  const resistorHeat = b.lossQuadrature('resistor heat', g.multiply(across, flow), 1);
  const branches = data.branches.map((branch, k) => {
    const terminal = b.node(`terminal ${k + 1}`);
    const lead = addBranch(b, `lead ${k + 1}`, bus, terminal, {
      resistance_ohm: branch.R_cable,
      inductance_H: branch.L,
      contacts: [{ name: `switch ${k + 1}`, law: { closed_ohm: branch.R_contact, ...IMMEDIATE }, closedAtStart: false }],
    });
    addDiode(b, `diode ${k + 1}`, behind, terminal, { saturation_A: branch.Is, slope_V: data.nVt, series_ohm: branch.Rs });
    const bank = addCapacitor(b, `bank ${k + 1}`, terminal, b.reference, branch.C, branch.esr);
    const load = addConstantPower(b, `load ${k + 1}`, terminal, b.reference, {
      power_W: branch.P,
      start_V: branch.v_on,
      stop_V: branch.v_off,
      floor_V: data.v_floor,
    });
    return { lead, bank, load };
  });
  const busWatch = b.watch('bus', bus.voltage);
  const model = compile(b.finish(1), kernel);
  const script: ScheduledAction[] = data.branches.map((branch, k) => ({
    time: branch.t_close,
    action: (run) => closeContact(run, branches[k]!.lead, branches[k]!.lead.contacts[0]!),
  }));
  script.push({ time: data.t_release, action: (run) => (run.parameters[pressed.index] = 0) });
  return { model, script, branches, busWatch, button: button.index, resistorHeat };
}

export { openContact };
