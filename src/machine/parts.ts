import type { PartKind } from './kind.ts';
import { BLEED, DIODE, FUSE, JOINT, RESISTOR, type Bleed, type Diode, type Fuse, type Joint, type Resistor } from './parts/conductive.ts';
import {
  CAPACITORS, CONTROLLER, CONVERTER, LAMP, RECEIVER, REGULATOR, SERVO,
  type Capacitors, type Controller, type Converter, type Lamp, type Receiver, type Regulator, type Servo,
} from './parts/loads.ts';
import { BENCH_SUPPLY, BRAKE_RESISTOR, PLAIN_LOAD, type BenchSupply, type BrakeResistor, type PlainLoad } from './parts/bench.ts';
import { CONTACTOR, type Contactor } from './parts/contactor.ts';
import { BENCH_LEAD, type BenchLead } from './parts/leads.ts';
import { MOTOR, type Motor } from './parts/motor.ts';
import { PACK, type Pack } from './parts/pack.ts';
import {
  IDEAL_DIODE, INRUSH_LIMITER, PROTECTION, SOLID_STATE_SWITCH,
  type IdealDiode, type InrushLimiter, type Protection, type SolidStateSwitch,
} from './parts/protective.ts';
import { BUTTON, CONNECTOR, ISOLATOR, LINK, type Button, type Connector, type Isolator, type Link } from './parts/switching.ts';

/** Any part of a machine; `kind` tells which. */
export type Part =
  | Pack | Joint | Fuse | Resistor | Bleed | Diode | Isolator | Link | Connector | Button
  | Contactor | SolidStateSwitch | Protection | InrushLimiter | IdealDiode
  | Capacitors | Controller | Motor | Converter | Regulator | Receiver | Servo | Lamp | BenchSupply | PlainLoad | BrakeResistor | BenchLead;

/** Every part kind; a new kind is registered here. */
export const PART_KINDS: readonly PartKind[] = [
  PACK, JOINT, FUSE, RESISTOR, BLEED, DIODE, ISOLATOR, LINK, CONNECTOR, BUTTON,
  CONTACTOR, SOLID_STATE_SWITCH, PROTECTION, INRUSH_LIMITER, IDEAL_DIODE,
  CAPACITORS, CONTROLLER, MOTOR, CONVERTER, REGULATOR, RECEIVER, SERVO, LAMP, BENCH_SUPPLY, PLAIN_LOAD, BRAKE_RESISTOR, BENCH_LEAD,
] as unknown as readonly PartKind[];

export function kindOf(name: string): PartKind | undefined {
  return PART_KINDS.find((kind) => kind.kind === name);
}
