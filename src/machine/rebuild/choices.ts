import { isSource, pointOf } from '../circuit/nets.ts';
import type { Chain, End, Machine } from '../machine.ts';
import { E12, nearestPreferred } from '../../physics/preferred.ts';
import { formatValue } from '../../quantity/format.ts';
import { usualFuse } from '../starter/choices.ts';
import { pointsFed, supplyOf } from './reach.ts';

/** A kind of part by what it does where it comes, in a few words. */
export interface Choice {
  readonly kind: string;
  readonly name: string;
  readonly does: string;
}

const IN_LEAD: readonly (Choice & { readonly roles: readonly Chain['role'][] })[] = [
  { kind: 'fuse', name: 'a fuse', does: 'melts before the lead does', roles: ['supply', 'return'] },
  { kind: 'isolator', name: 'an isolator', does: 'a switch that a hand turns', roles: ['supply', 'return'] },
  { kind: 'link', name: 'a removable link', does: 'pulled out, everybody sees that it is open', roles: ['supply', 'return'] },
  { kind: 'connector', name: 'a connector', does: 'a plug and socket, to take things apart', roles: ['supply', 'return', 'signal ground'] },
  { kind: 'diode', name: 'a blocking diode', does: 'lets current pass outwards only', roles: ['supply'] },
  { kind: 'ideal diode', name: 'an ideal-diode module', does: 'the same, with hardly any loss', roles: ['supply'] },
  { kind: 'resistor', name: 'a resistor', does: 'in series with all that follows, for good: a soft start goes beside a switch', roles: ['supply', 'return'] },
  { kind: 'inrush limiter', name: 'an inrush limiter', does: 'a resistor that warms up and gives way', roles: ['supply', 'return'] },
  { kind: 'button', name: 'a push button', does: 'closed only while it is pressed', roles: ['supply', 'return'] },
  { kind: 'contactor', name: 'a contactor', does: 'a switch that a coil closes', roles: ['supply'] },
  { kind: 'solid-state switch', name: 'a solid-state switch', does: 'transistors that switch, with a ramp', roles: ['supply'] },
  { kind: 'protection', name: 'a battery protection', does: 'opens by itself on too much current', roles: ['supply'] },
  { kind: 'joint', name: 'a joint', does: 'a splice, lug or screw that can come loose', roles: ['supply', 'return', 'signal ground'] },
];

/** What a switch can get beside itself. */
export const SOFT_START: Choice = { kind: 'soft start', name: 'a soft-start resistor', does: 'what follows charges through it before the switch closes' };

const AT_END: readonly (Choice & { readonly behindSupply: 'too' | 'only' | 'never' })[] = [
  { kind: 'lamp', name: 'an indicator lamp', does: 'shows that this point is live', behindSupply: 'too' },
  { kind: 'controller', name: 'a motor controller', does: 'with capacitors that a soft start has to fill', behindSupply: 'never' },
  { kind: 'converter', name: 'a DC-DC converter', does: 'makes a lower voltage, starts and stops by itself', behindSupply: 'too' },
  { kind: 'regulator', name: 'a linear regulator', does: 'makes a lower voltage out of heat', behindSupply: 'too' },
  { kind: 'receiver', name: 'a receiver', does: 'the radio', behindSupply: 'only' },
  { kind: 'servo', name: 'a servo', does: 'moves something small', behindSupply: 'only' },
  { kind: 'load', name: 'anything else that draws', does: 'a fan, a camera, a light', behindSupply: 'too' },
  { kind: 'bleed', name: 'a bleed resistor', does: 'drains capacitors after switch-off', behindSupply: 'never' },
  { kind: 'capacitors', name: 'a capacitor bank', does: 'steadies the voltage, and has to be filled', behindSupply: 'too' },
  { kind: 'brake resistor', name: 'a brake resistor', does: 'turns braking energy to heat', behindSupply: 'never' },
  { kind: 'pack', name: 'another pack', does: 'beside the first', behindSupply: 'never' },
];

/** Kinds that can come into a chain; a lead to the chassis or the bench has nothing beside it. */
export function choicesInLead(machine: Machine, { role, items }: Chain): readonly Choice[] {
  if (items.some((item) => 'part' in item && machine.parts.get(item.part)?.kind === 'bench lead')) return [];
  return IN_LEAD.filter(({ roles }) => roles.includes(role));
}

/** Kinds that can be connected to a point of the + side. */
export function choicesAt(machine: Machine, end: End): readonly Choice[] {
  const behind = isBehindSupply(machine, end);
  return AT_END.filter(({ behindSupply }) => behindSupply === 'too' || (behindSupply === 'only') === behind);
}

/** What a new part in a chain is given until the builder knows better: values that it cannot do without, as the file writes them. */
export function proposedInLead(machine: Machine, kind: string, chain: Chain): Readonly<Record<string, string>> {
  const rating = guess(formatValue(usualFuse(currentBehind(machine, chain)), 'current'));
  switch (kind) {
    case 'fuse':
    case 'diode':
    case 'ideal diode':
    case 'contactor':
    case 'solid-state switch':
    case 'protection':
      return { rating };
    case 'resistor':
    case SOFT_START.kind:
      // An ampere at the first moment: between what contacts and what packs feel. Common practice, no source.
      return { resistance: guess(formatValue(nearestPreferred(E12, full_V(machine), 'nearest'), 'resistance')) };
    case 'inrush limiter':
      return { resistance: guess('10 Ω') };
    default:
      return {};
  }
}

/** What a new part at a point is given until the builder knows better. */
export function proposedAt(machine: Machine, kind: string, end: End): Readonly<Record<string, string>> {
  const volts = voltageAt(machine, end);
  const same = [...machine.parts.values()].find((part) => part.kind === kind);
  switch (kind) {
    case 'lamp':
      // 2 mA through a lamp that lights at 2 V. Common practice, no source.
      return { resistance: guess(formatValue(nearestPreferred(E12, Math.max(volts - 2, 1) / 0.002, 'nearest'), 'resistance')) };
    case 'controller':
      return { motorCurrent: same?.kind === 'controller' ? same.values.motorCurrent.text : guess('60 A') };
    case 'converter':
      return { output: guess(volts > 14 ? '12 V' : '5 V') };
    case 'regulator':
      return { output: guess('5 V') };
    case 'load':
      return { power: guess('10 W') };
    case 'bleed':
      return { resistance: guess('4.7 kΩ') };
    case 'capacitors':
      return { capacitance: guess('1000 µF') };
    case 'brake resistor':
      return { resistance: guess('10 Ω'), on: guess(formatValue(Math.round(1.12 * volts), 'voltage')) };
    case 'pack':
      return same?.kind === 'pack' ? { chemistry: same.values.chemistry, cells: same.values.cells.text, capacity: same.values.capacity.text } : {};
    default:
      return {};
  }
}

function guess(text: string): string {
  return `${text} (assumed)`;
}

/** Whether a point hangs on the output of a converter or regulator, and on no pack by another way. */
export function isBehindSupply(machine: Machine, end: End): boolean {
  const straight = [...machine.parts.values()].filter(({ kind }) => kind !== 'converter' && kind !== 'regulator');
  return !pointsFed(straight, supplyOf(machine)).has(pointOf(end));
}

/** Nominal voltage of a point: that of full packs, or of the output that feeds it. */
function voltageAt(machine: Machine, end: End): number {
  if (!isBehindSupply(machine, end)) return full_V(machine);
  for (const part of machine.parts.values()) {
    if (part.kind !== 'converter' && part.kind !== 'regulator') continue;
    const others = supplyOf(machine).filter(({ from }) => !('part' in from) || from.terminal !== 'out' || from.part === part.id);
    if (pointsFed(machine.parts.values(), others).has(pointOf(end))) return part.values.output.value;
  }
  return full_V(machine);
}

function full_V(machine: Machine): number {
  for (const part of machine.parts.values()) {
    if (part.kind === 'pack') return part.values.cells.value * (part.values.fullVoltage?.value ?? (part.values.chemistry === 'lfp' ? 3.6 : 4.2));
    if (part.kind === 'bench supply') return part.values.voltage.value;
  }
  return 12;
}

/** Current that what hangs behind a chain may draw together: 0.6 of what is rated, because it hardly ever does. Common practice, no source. */
function currentBehind(machine: Machine, chain: Chain): number {
  const outside = pointsFed(machine.parts.values(), supplyOf(machine).filter((one) => one !== chain));
  let current_A = 0;
  for (const part of machine.parts.values()) {
    if (isSource(part.kind) || outside.has(`${part.id}+`)) continue;
    if (part.kind === 'controller') current_A += 0.6 * (part.values.batteryCurrent ?? part.values.motorCurrent).value;
    if (part.kind === 'converter') current_A += ((part.values.outputCurrent?.value ?? 3) * part.values.output.value) / full_V(machine);
  }
  return Math.max(current_A, 3);
}
