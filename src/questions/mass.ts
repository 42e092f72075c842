import { classDefaultTimes } from '../machine/classes.ts';
import { impliedReturns } from '../machine/circuit/nets.ts';
import type { Pack } from '../machine/parts/pack.ts';
import { kindOf, type Part } from '../machine/parts.ts';
import { CELL_LIMITS } from '../physics/cells.ts';
import { copperMass_kg, jacketMass_kg } from '../physics/masses.ts';
import { formatSection } from '../quantity/format.ts';
import { quantile, type Quantity } from '../quantity/quantity.ts';
import type { Answer, Asked, Evidence, Item } from './answer.ts';
import type { SampleRecord, Study } from './study.ts';
import { called, deciding, figure, say, worst } from './words.ts';

/** Energy of a finished pack for its mass, J/kg, with factors of its spread: leads, plug and wrap included. Common practice, no source. */
const PACK_ENERGY: Record<Pack['values']['chemistry'], { readonly Wh_kg: number; readonly low: number; readonly high: number }> = {
  lipo: { Wh_kg: 145, low: 0.8, high: 1.25 },
  nca: { Wh_kg: 190, low: 0.8, high: 1.2 },
  nmc: { Wh_kg: 180, low: 0.8, high: 1.2 },
  lfp: { Wh_kg: 105, low: 0.75, high: 1.25 },
};

interface Weighed {
  readonly where: string;
  readonly mass: Quantity;
  readonly parts: readonly string[];
  readonly says: string;
}

/** What does the power system weigh? What nobody has weighed is counted as unknown, not guessed. */
export function mass(base: Study, _records: readonly SampleRecord[]): Asked {
  const parts = [...base.machine.parts.values()];
  const stated = parts.flatMap((part) => statedMass(base, part));
  const estimated = parts.flatMap((part) => (part.kind === 'pack' && part.values.mass === undefined ? [packEstimate(base, part)] : []));
  const leads = conductors(base);
  const weighed = [...stated, ...estimated, ...(leads === undefined ? [] : [leads.weighed])];
  const unknown = parts.filter((part) => !weighed.some((one) => one.parts.includes(part.id)));
  const asked = unknown.filter((part) => kindOf(part.kind)?.fields['mass'] !== undefined);
  const total = sumOf(weighed.map((one) => one.mass));
  const items = [...weighed.map((one) => itemOf(one, total.value)), ...(asked.length === 0 ? [] : [unknownItem(base, asked)])];
  const decides = weighed.length === 0 ? undefined : totalFigure(total);
  const answer: Answer = {
    id: 'mass',
    question: 'What does the power system weigh?',
    verdict: items.length === 0 ? 'cannot tell' : worst(items.map((item) => item.verdict)),
    says: summary(base, total, weighed, unknown),
    figure: decides,
    limit: undefined,
    margin: undefined,
    passes: undefined,
    items,
    needs: asked.length > 0 ? asked.map((part) => `mass of ${part.id}`) : items.length === 0 ? ['masses, or leads with a section and a length'] : [],
    refused: undefined,
    parts: deciding(items)?.parts ?? [],
    evidence: leads === undefined ? [] : [leads.table],
    advice: [],
    basis: [
      'Leads: copper of their section and length with 2 % for the lay of fine strands, and a jacket of 2.1 times the diameter of the metal (common practice, no source); out and back where the return runs beside.',
      ...(estimated.length === 0 ? [] : ['A pack without a stated mass is taken by the energy of its chemistry for each kilogram, a class default with its spread (common practice, no source): weigh it.']),
      'Costs are not part of the machine file yet and are left out.',
    ],
    cautions: [],
    notAProblem: [],
  };
  return { answer, drawn: [] };
}

function statedMass({ circuit }: Study, part: Part): Weighed[] {
  const own = 'mass' in part.values ? part.values.mass : undefined;
  return own === undefined ? [] : [{ where: called(circuit, part.id), mass: own, parts: [part.id], says: `${say(own.value, 'mass')}, ${own.origin}.` }];
}

function packEstimate({ circuit }: Study, pack: Pack): Weighed {
  const { chemistry, cells, capacity } = pack.values;
  const energy_J = cells.value * CELL_LIMITS[chemistry].nominal_V * capacity.value;
  const { Wh_kg, low, high } = PACK_ENERGY[chemistry];
  const estimate = classDefaultTimes('mass', energy_J / (3600 * Wh_kg), 1 / high, 1 / low);
  return {
    where: called(circuit, pack.id),
    mass: estimate,
    parts: [pack.id],
    says: `About ${say(estimate.value, 'mass')}, ${say(estimate.low, 'mass')} to ${say(estimate.high, 'mass')}: ${Math.round(energy_J / 3600)} Wh at ${Wh_kg} Wh/kg, usual for ${chemistry} packs (class default).`,
  };
}

/** Every lead of the wiring, with its return where that is implied by the one-line form. */
function conductors({ machine, circuit, values }: Study): { readonly weighed: Weighed; readonly table: Evidence } | undefined {
  const paired = new Set(impliedReturns(machine).map(({ chain }) => chain.name + chain.role));
  const rows: string[][] = [];
  const sums = { kg: 0, low: 0, high: 0, copper: 0 };
  for (const chain of machine.wiring.chains)
    chain.items.forEach((item, k) => {
      if (!('conductor' in item)) return;
      const [section, length] = [`${chain.name}#${k}.section`, `${chain.name}#${k}.length`].map((key) => circuit.inputs.at(key));
      const ways = paired.has(chain.name + chain.role) ? 2 : 1;
      const own = (section_m2: number, length_m: number): number => ways * (copperMass_kg(section_m2, length_m) + jacketMass_kg(section_m2, length_m));
      const kg = own(values[section!]!, values[length!]!);
      sums.kg += kg;
      sums.low += own(circuit.inputs.list[section!]!.quantity.low, circuit.inputs.list[length!]!.quantity.low);
      sums.high += own(circuit.inputs.list[section!]!.quantity.high, circuit.inputs.list[length!]!.quantity.high);
      sums.copper += ways * copperMass_kg(values[section!]!, values[length!]!);
      rows.push([chain.name, formatSection(values[section!]!), say(values[length!]!, 'length'), ways === 2 ? 'out and back' : 'one way', say(kg, 'mass')]);
    });
  if (rows.length === 0) return undefined;
  const total = { ...classDefaultTimes('mass', sums.kg, Math.min(1, sums.low / sums.kg), Math.max(1, sums.high / sums.kg)), origin: 'derived' as const };
  return {
    weighed: { where: 'leads', mass: total, parts: [], says: `${say(sums.kg, 'mass')} of leads, ${say(sums.copper, 'mass')} of it copper.` },
    table: { type: 'table', title: 'What each lead weighs', head: ['Lead', 'Section', 'Length', 'Ways', 'Mass'], rows },
  };
}

/** The sum with a spread in which not everything is heavy at once. */
function sumOf(masses: readonly Quantity[]): Pick<Quantity, 'value' | 'low' | 'high'> {
  const value = masses.reduce((sum, one) => sum + one.value, 0);
  const side = (share: number): number => Math.sqrt(masses.reduce((sum, one) => sum + (quantile(one, share) - one.value) ** 2, 0));
  return { value, low: value - side(0.05), high: value + side(0.95) };
}

function totalFigure({ value, low, high }: Pick<Quantity, 'value' | 'low' | 'high'>): Answer['figure'] {
  return figure(value, 'kg', 'mass', [low, high]);
}

function itemOf({ where, mass: own, parts, says }: Weighed, total_kg: number): Item {
  return {
    where, verdict: 'good', measure: `${Math.round((100 * own.value) / total_kg)} % of what is known`, figure: figure(own.value, 'kg', 'mass', [own.low, own.high]),
    limit: undefined, margin: undefined, passes: undefined, parts, says, slip: false,
  };
}

function unknownItem({ circuit }: Study, parts: readonly Part[]): Item {
  return {
    where: 'what nobody has weighed', verdict: 'cannot tell', measure: 'not known', figure: undefined, limit: undefined, margin: undefined, passes: undefined,
    parts: parts.map((part) => part.id),
    says: `The mass of ${parts.map((part) => called(circuit, part.id)).join(', ')} is not given: the sum is without ${parts.length === 1 ? 'it' : 'them'}.`,
    slip: false,
  };
}

function summary({ machine }: Study, total: Pick<Quantity, 'value' | 'low' | 'high'>, weighed: readonly Weighed[], unknown: readonly Part[]): string {
  if (weighed.length === 0) return 'Nothing of it is known: no mass is given, and no lead with its section and length.';
  const heaviest = weighed.reduce((a, b) => (b.mass.value > a.mass.value ? b : a));
  const share = machine.mass === undefined ? '' : `, ${say(total.value / machine.mass.value, 'ratio')} of the machine's ${say(machine.mass.value, 'mass')}`;
  const missing = unknown.length === 0 ? '' : ` ${unknown.length} of its ${machine.parts.size} parts are not in that: nothing is known of what they weigh.`;
  const range = total.high - total.low < 0.02 * total.value ? '' : ` (${say(total.low, 'mass')} to ${say(total.high, 'mass')})`;
  return `${unknown.length === 0 ? '' : 'At least '}${say(total.value, 'mass')}${range}${share}; most of it ${heaviest.where} with ${say(heaviest.mass.value, 'mass')}.${missing}`;
}
