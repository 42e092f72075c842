import { gaugeName } from '../quantity/awg.ts';
import { formatValue } from '../quantity/format.ts';
import { exact, type Quantity } from '../quantity/quantity.ts';
import { CONTROLLER, CONVERTER, RECEIVER, REGULATOR } from './parts/loads.ts';
import { PACK } from './parts/pack.ts';
import { BUTTON, CONNECTOR, ISOLATOR, LINK } from './parts/switching.ts';
import { LEAD_M, leadGauge, parallelCells, starterChoices, type Branch, type RadioSupply, type SizedSoftStart, type StarterChoices } from './starter/choices.ts';
import type { StarterFacts } from './starter/facts.ts';

const LENGTH = `${formatValue(LEAD_M, 'length')} (assumed)`;
/** A receiver and a servo at rest take little; what a lead of them breaks by is not its heat. */
const RADIO_LEAD = gaugeName(leadGauge(0));
const WIDTH = 116;

const CELL_HOW = 'read it off the charger, cell by cell, and take the mean';
const CONTACT_HOW = 'measure the millivolts across it at a known current';
const FUSE_HOW = '0.6 times what the controllers are rated for together, because they hardly ever pull that at one time';

/** One isolator or link with what stands around it. */
interface Switched {
  readonly branch: Branch;
  readonly id: string;
  readonly resistor: string;
  readonly button: string;
  /** Places before and behind it. */
  readonly from: string;
  readonly to: string;
}

interface Layout {
  readonly facts: StarterFacts;
  readonly choices: StarterChoices;
  readonly switched: readonly Switched[];
  /** The link of the weapon's own loop. */
  readonly weaponLink: string | undefined;
  readonly drives: readonly string[];
  readonly weapon: string | undefined;
  readonly supply: string;
}

/**
 * Text of a first machine file from a few facts. What the builder did not say is left out, so that class defaults apply,
 * with a comment that names what is taken and how to find the value; soft start, fuse and leads are a first guess, said
 * to be one. The text reads back without an issue.
 * @throws RangeError when the facts are no machine that a file can say (see `requireFacts`)
 */
export function starterMachine(facts: StarterFacts): string {
  const layout = layOut(facts);
  const blocks = [head(facts), ['parts:', ...parts(layout)], wiring(layout), procedure(layout), powerDown(layout), tail()];
  return `${blocks.map((lines) => lines.join('\n')).join('\n\n')}\n`;
}

function layOut(facts: StarterFacts): Layout {
  const choices = starterChoices(facts);
  const links = facts.isolators === 'links';
  const apart = choices.branches.length > 1;
  const drives = Array.from({ length: facts.drive.count }, (_, k) => `T${k + 1}`);
  const weapon = facts.weapon === undefined ? undefined : `T${drives.length + 1}`;
  const switched = choices.branches.map((branch, k): Switched => {
    const number = k + 1;
    // A branch with one load ends at it.
    const to = branch.feeds === 'all' ? 'bus' : branch.ratings_A.length > 1 ? branch.feeds : branch.feeds === 'drive' ? 'T1' : weapon ?? 'bus';
    return { branch, id: links ? 'LK1' : `Q${number}`, resistor: `R${number}`, button: `S${number}`, from: apart ? 'bar' : 'feed', to };
  });
  const weaponLink = links && weapon !== undefined ? 'LK2' : undefined;
  const supply = `T${drives.length + (weapon === undefined ? 1 : 2)}`;
  return { facts, choices, switched, weaponLink, drives, weapon, supply };
}

function head({ name }: StarterFacts): string[] {
  return [
    ...comment('', [
      'A first machine file, made from a few facts.',
      'Nothing in it is measured. Lines that start with "#" say what is taken where nothing is known, with the range in '
      + 'which nine of ten such parts lie, and how to find the value: write it in, and every answer becomes sharper. '
      + 'Values marked (assumed) are guesses of this program: correct them.',
    ]),
    '', 'ampwright: 1', `machine: ${quotedName(name)}`,
  ];
}

function parts({ facts, choices, switched, weaponLink, drives, weapon, supply }: Layout): string[] {
  return [
    ...packLines(facts, choices),
    ...switched.flatMap((one) => switchLines(one, facts, choices)),
    ...(weaponLink === undefined ? [] : [`  ${weaponLink}: { kind: link, about: weapon loop }`]),
    '',
    ...drives.flatMap((id, k) => controllerLines(id, driveName(k, drives.length), facts.drive.rating, k === 0 ? undefined : drives[0])),
    ...(weapon === undefined || facts.weapon === undefined ? [] : controllerLines(weapon, 'weapon or arm controller', facts.weapon, undefined)),
    '',
    ...radioLines(supply, choices.radio, facts.radioSupply),
  ];
}

function packLines(facts: StarterFacts, { fuse_A }: StarterChoices): string[] {
  const usual = PACK.defaults({ chemistry: facts.chemistry, cells: exact('count', facts.cells), capacity: facts.capacity });
  const parallel = parallelCells(facts);
  return [
    '  G1:', '    kind: pack', `    chemistry: ${facts.chemistry}`, `    cells: ${facts.cells}`, `    capacity: ${written(facts.capacity)}`,
    ...(parallel === undefined ? [] : [
      ...comment('    ', ['parallel not given: round cells of about 3 Ah each are assumed; count them']),
      `    parallel: ${parallel} (assumed)`,
    ]),
    ...comment('    ', [`cell resistance not given: class default ${range(usual.cellResistance)}; ${CELL_HOW}`]),
    ...comment('  ', [`X1, closed resistance not given: class default ${range(CONNECTOR.defaults({}).closedResistance)}; ${CONTACT_HOW}`]),
    '  X1: { kind: connector, about: pack connector }',
    ...(facts.fuse !== undefined ? [] : comment('  ', [`F1 not given: the usual size from ${FUSE_HOW} (common practice, no source)`])),
    '  F1:', '    kind: fuse',
    `    rating: ${facts.fuse === undefined ? `${formatValue(fuse_A, 'current')} (assumed)` : written(facts.fuse)}`,
  ];
}

function switchLines({ branch, id, resistor, button }: Switched, facts: StarterFacts, choices: StarterChoices): string[] {
  const link = facts.isolators === 'links';
  const usual = (link ? LINK : ISOLATOR).defaults({});
  const { softStart } = branch;
  const charged = softStart !== undefined && choices.softStart === 'charge';
  const about = link ? 'main loop' : branch.feeds === 'all' ? 'main switch' : `isolator of the ${branch.feeds}`;
  return [
    '',
    `  ${id}:`, `    kind: ${link ? 'link' : 'isolator'}`, `    about: ${about}`,
    ...(link ? [] : [`    positions: { OFF: open,${charged ? ` CHARGE: through ${resistor},` : ''} ON: direct }`]),
    ...comment('    ', [
      `rating not given, so it is taken to close on ${range(usual.makeCurrent)}: the label says the rating`,
      `closed resistance not given: class default ${range(usual.closedResistance)}; ${CONTACT_HOW}`,
    ]),
    ...(!charged ? [] : comment('    ', [
      `gap not given: turning from CHARGE to ON is taken to open the way for ${range(ISOLATOR.defaults({}).gap)}; "changeover: overlap" if it never opens`,
    ])),
    ...(softStart === undefined ? withoutLines(facts, choices) : resistorLines(resistor, softStart, branch, choices)),
    ...(softStart === undefined || charged ? [] : [
      ...comment('  ', [`rating not given, so it is taken to close on ${range(BUTTON.defaults({}).makeCurrent)}`]),
      `  ${button}: { kind: button, about: soft-start button across ${id} }`,
    ]),
  ];
}

function withoutLines({ softStart }: StarterFacts, { closing_A, make_A }: StarterChoices): string[] {
  if (softStart === 'none') return comment('    ', ['no soft start: "ampwright ask" says whether closing it sparks']);
  const [closing, stands] = [closing_A, make_A].map((current_A) => formatValue(current_A, 'current', 2));
  return comment('    ', [
    `no soft start: by a first estimate it closes on ${closing}, and such a contact is taken to stand ${stands} at least; "ampwright ask" judges it`,
  ]);
}

function resistorLines(id: string, { resistance_ohm, drawn_A, missing_V, start_ohm }: SizedSoftStart, { feeds }: Branch, { full_V }: StarterChoices): string[] {
  const starts = Number.isFinite(start_ohm) ? `; the converter would start up to ${formatValue(start_ohm, 'resistance', 2)}` : '';
  const awake = `what is awake${feeds === 'all' ? '' : ` in the ${feeds} branch`} (about ${formatValue(drawn_A, 'current', 2)} by class defaults)`;
  const leaves = `leaves no more than ${formatValue(missing_V, 'voltage', 2)} of ${formatValue(full_V, 'voltage')} missing`;
  return [
    ...comment('  ', [
      `${id} is a first guess, to be judged by "ampwright ask": the largest of the E12 series through which ${awake} ${leaves}${starts}`,
      'its power is not given: a wirewound that stands the pulses, and a fault while it is on',
    ]),
    `  ${id}: { kind: resistor, about: soft start, resistance: ${formatValue(resistance_ohm, 'resistance')} (assumed) }`,
  ];
}

function driveName(k: number, count: number): string {
  if (count === 1) return 'drive controller';
  return count === 2 ? `${k === 0 ? 'left' : 'right'} drive controller` : `drive controller ${k + 1}`;
}

function controllerLines(id: string, about: string, rating: Quantity, same: string | undefined): string[] {
  const usual = CONTROLLER.defaults({ motorCurrent: rating });
  const explained = [
    `capacitance not given: class default ${range(usual.capacitance)}; read it off the cans and add them up`,
    `series resistance not given: class default ${range(usual.seriesResistance)}; the datasheet of the cans says it`,
    `standby not given: class default ${range(usual.standby)}; measure it between pack and controller, radio on, at rest`,
    `logic start not given: class default ${range(usual.logicStart)}; raise a bench supply until its lights come on`,
    'absolute voltage not given, and nothing taken for it: its manual says it',
  ];
  return [
    `  ${id}:`, '    kind: controller', `    about: ${about}`, `    motor current: ${written(rating)}`,
    ...comment('    ', same === undefined ? explained : [`what is not given is taken as for ${same}`]),
  ];
}

function radioLines(id: string, radio: RadioSupply, from: StarterFacts['radioSupply']): string[] {
  const receiver = RECEIVER.defaults({});
  return [
    ...(radio.kind === 'regulator' ? regulatorLines(id) : converterLines(id, radio, from)),
    ...comment('  ', [
      `K1: current not given: class default ${range(receiver.current)}; it resets below ${range(receiver.reset)}; the manual says both. Servos hang beside it: { kind: servo }`,
    ]),
    '  K1: { kind: receiver }',
  ];
}

function regulatorLines(id: string): string[] {
  const { dropOut } = REGULATOR.defaults({ output: exact('voltage', 5) });
  return [
    ...comment('  ', [`taken as linear, as in small controllers; drop out not given: class default ${range(dropOut)}. What it draws itself is in the controller's standby`]),
    `  ${id}:`, '    kind: regulator', '    about: radio supply inside T1', '    output: 5 V (assumed)', '    idle: 0 A (assumed)',
  ];
}

function converterLines(id: string, { output_V, start_V }: RadioSupply, from: StarterFacts['radioSupply']): string[] {
  const usual = CONVERTER.defaults({ output: exact('voltage', output_V), ...(start_V === undefined ? {} : { start: exact('voltage', start_V) }) });
  const inside = from === 'controller';
  return [
    `  ${id}:`, '    kind: converter',
    `    about: ${inside ? 'radio supply inside T1, which must step up from so low a pack' : 'DC-DC converter of the radio'}`,
    `    output: ${formatValue(output_V, 'voltage')} (assumed)`,
    ...(start_V === undefined
      ? comment('    ', [`start and stop not given: class default ${range(usual.start)} and ${range(usual.stop)}; raise and lower a bench supply; they decide whether a soft start ever finishes`])
      : [...comment('    ', ['one that suits this pack starts below its empty voltage; stop not given: a little lower']), `    start: ${formatValue(start_V, 'voltage')} (assumed)`]),
    ...(inside
      ? [...comment('    ', ["its capacitors are the controller's"]), '    electrolytic: 0 F (assumed)', '    ceramic: 0 F (assumed)']
      : comment('    ', [`input capacitors not given: class default ${range(usual.electrolytic)} and ${range(usual.ceramic)} ceramic`])),
    ...comment('    ', ['running not given: what hangs on it, by its efficiency; measure its input current with the radio linked, times the pack voltage']),
  ];
}

function wiring(layout: Layout): string[] {
  const { facts, choices, switched, weaponLink, drives, weapon, supply } = layout;
  const [first] = switched;
  const driveEnd = first?.to ?? 'bus';
  const lead = (current_A: number): string => `${gaugeName(leadGauge(Math.min(current_A, choices.fuse_A)))} ${LENGTH}`;
  const main = lead(drives.length * facts.drive.rating.value + (facts.weapon?.value ?? 0));
  const chains = [
    `pack: from G1+, ${main}, X1, F1, to ${first?.from ?? 'feed'}`,
    ...switched.flatMap(({ branch, id, resistor, button, from, to }) => [
      `${branch.feeds === 'all' ? 'main' : branch.feeds}: from ${from}, ${id}${branch.feeds === 'all' ? '' : `, ${lead(branch.current_A)}`}, to ${to}`,
      ...(choices.softStart === 'button' ? [`soft start${branch.feeds === 'all' ? '' : ` of the ${branch.feeds}`}: from ${from}, ${resistor}, ${button}, to ${to}`] : []),
    ]),
    ...drives.filter((id) => id !== driveEnd).map((id) => `${driveName(drives.indexOf(id), drives.length)}: from ${driveEnd}, ${lead(facts.drive.rating.value)}, to ${id}`),
    ...(weapon === undefined || facts.weapon === undefined || driveEnd !== 'bus' ? [] : [
      `weapon controller: from bus, ${weaponLink === undefined ? '' : `${weaponLink}, `}${lead(facts.weapon.value)}, to ${weapon}`,
    ]),
    facts.radioSupply === 'controller' ? `radio supply: from T1, to ${supply}` : `radio supply: from ${driveEnd}, ${RADIO_LEAD} ${LENGTH}, to ${supply}`,
    `radio: from ${supply} out, to K1`,
  ];
  return [
    ...comment('', [
      'The + side, from the pack outwards. Leads are sized for the ratings behind them, and no more than the fuse lets '
      + 'through, by what silicone leads usually carry in a short match (12 AWG 70 A, 10 AWG 110 A, 8 AWG 160 A; common '
      + 'practice, no source). Their lengths, one way, are assumed: measure them.',
    ]),
    'wiring:', ...chains.map((chain) => `  ${chain}`),
    '',
    ...comment('', ['The - side, assumed: a negative that runs by way of another controller is written as a chain of its own.']),
    'returns: all negatives on one bar',
  ];
}

function procedure({ choices, switched, weaponLink, weapon }: Layout): string[] {
  const steps = switched.flatMap(({ branch, id, button }): string[] => {
    const close = id.startsWith('LK') ? `insert ${id}` : `close ${id}`;
    const { softStart } = branch;
    if (softStart === undefined) return [close];
    const count = `wait ${formatValue(softStart.count_s, 'time')}`;
    if (choices.softStart === 'charge') return [`turn ${id} to CHARGE`, count, `turn ${id} to ON`];
    return [`press ${button}`, count, close, `release ${button}`];
  });
  // With the weapon's link in first, the button charges all controllers.
  const weaponFirst = choices.softStart === 'button';
  const linked = weaponLink === undefined ? steps : weaponFirst ? [`insert ${weaponLink}`, ...steps] : [...steps, `insert ${weaponLink}`];
  return [
    ...comment('', ['Powering up, as the crew does it. Correct it: the answers are about these steps in this order.']),
    'procedure:',
    ...['crew: transmitter on', ...linked, ...(weapon === undefined ? [] : ['crew: locking pin out']), 'crew: leave'].map(step),
  ];
}

function powerDown({ choices, switched, weaponLink, weapon }: Layout): string[] {
  const off = ({ id }: Switched): string => (id.startsWith('LK') ? `remove ${id}` : choices.softStart === 'charge' ? `turn ${id} to OFF` : `open ${id}`);
  const pin = weapon === undefined ? [] : ['crew: locking pin in'];
  const link = weaponLink === undefined ? [] : [`remove ${weaponLink}`];
  return ['power down:', ...[...pin, ...switched.toReversed().map(off), ...link, 'crew: transmitter off'].map(step)];
}

function tail(): string[] {
  return comment('', [
    'Not in this file yet: motors, lamps, servos, bleed resistors, signal grounds, the mass of the machine, and what your '
    + 'event asks for. The manual of the machine file says how each is written.',
  ]);
}

function step(text: string): string {
  return `  - ${text}`;
}

/** A class default with the range in which nine of ten lie. */
function range({ value, low, high, dimension }: Quantity): string {
  const show = (number: number): string => formatValue(number, dimension);
  return low === high ? show(value) : `${show(value)} (${show(low)} to ${show(high)})`;
}

/** A quantity as the builder wrote it, in quotes where it would not be one plain text. */
function written({ text }: Quantity): string {
  const plain = text.trim().replace(/\s+/g, ' ');
  return /^[\p{L}\p{N}.][^"'#:{}[\]\\]*$/u.test(plain) ? plain : JSON.stringify(plain);
}

function quotedName(name: string): string {
  const plain = name.trim();
  return /^\p{L}[\p{L}\p{N} _-]*$/u.test(plain) ? plain : JSON.stringify(plain);
}

/** Comment lines, each text a paragraph that is broken between words. */
function comment(indent: string, texts: readonly string[]): string[] {
  return texts.flatMap((text) => {
    const lines: string[] = [];
    let line = '';
    for (const word of text.split(' ')) {
      if (line !== '' && indent.length + 2 + line.length + 1 + word.length > WIDTH) {
        lines.push(line);
        line = '';
      }
      line = line === '' ? word : `${line} ${word}`;
    }
    return [...lines, line].map((one) => `${indent}# ${one}`);
  });
}
