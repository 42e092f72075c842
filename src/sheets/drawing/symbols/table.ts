import type { Part } from '../../../machine/parts.ts';
import * as ends from './ends.ts';
import type { Glyph, Look } from './glyph.ts';
import * as inLine from './in-line.ts';
import * as switches from './switches.ts';

type SymbolTable = { readonly [K in Part['kind']]: (part: Extract<Part, { kind: K }>, look: Look & { readonly lowerIn: boolean }) => Glyph };

/** The symbol of every kind of part: a kind without one does not compile. */
const SYMBOLS = {
  pack: (_, look) => ends.pack(look, look.lowerIn),
  'bench supply': (_, look) => ends.benchSupply(look, look.lowerIn),
  joint: () => inLine.joint(),
  fuse: () => inLine.fuse(),
  resistor: () => inLine.resistor(),
  'inrush limiter': () => inLine.inrushLimiter(),
  diode: (_, look) => inLine.diode(look),
  'ideal diode': (_, look) => inLine.idealDiode(look),
  'solid-state switch': () => inLine.solidStateSwitch(),
  protection: () => inLine.protection(),
  connector: (part, look) => inLine.connector(look.positions.get(part.id) === 'open', part.values.builtInResistor !== undefined),
  link: (part, look) => inLine.link(look.positions.get(part.id) === 'open'),
  isolator: switches.isolator,
  button: switches.button,
  contactor: switches.contactor,
  controller: (_, look) => ends.controller(look),
  motor: () => ends.motor(),
  converter: (_, look) => ends.converter(look),
  regulator: (_, look) => ends.regulator(look),
  receiver: (_, look) => ends.receiver(look),
  servo: (_, look) => ends.servo(look),
  lamp: (_, look) => ends.lamp(look),
  load: (_, look) => ends.plainLoad(look),
  bleed: (_, look) => ends.bleed(look),
  'brake resistor': (_, look) => ends.brakeResistor(look),
  'bench lead': () => inLine.benchLead(),
  capacitors: (_, look) => ends.capacitors(look),
} as const satisfies SymbolTable;

export function symbolOf(part: Part, look: Look & { readonly lowerIn: boolean }): Glyph {
  return (SYMBOLS[part.kind] as (part: Part, look: Look & { readonly lowerIn: boolean }) => Glyph)(part, look);
}
