import type { Answer, Asked, Evidence, Item } from './answer.ts';
import { brakingItems } from './opening-braking.ts';
import { driveItem, openable, type DriveOpening } from './opening-drive.ts';
import { powerUpItems } from './opening-power-up.ts';
import type { MatchLoads } from './match-loads.ts';
import { breakAtLimits } from './states/broken-current.ts';
import { FaultCurrents } from './states/fault-currents.ts';
import type { SampleRecord, Study } from './study.ts';
import { called, deciding, say, worst } from './words.ts';

/**
 * What if this opens at the worst moment: each switch, link, plug, fuse, protection, diode and joint, with every
 * controller at its limit (or at the peak of a match), while braking, and in the power-up.
 */
export function opening(base: Study, _records: readonly SampleRecord[], match?: MatchLoads): Asked {
  const faults = new FaultCurrents(base.machine);
  const parts = openable(base.machine);
  const drives = parts.flatMap((part): DriveOpening[] => {
    const broken = breakAtLimits(faults, part.id);
    return broken === undefined ? [] : [{ part, broken }];
  });
  const driven = drives.map((one) => driveItem(base, faults, one, match));
  const braking = brakingItems(base, faults, drives);
  const powerUp = powerUpItems(base);
  const items = [...driven, ...braking, ...powerUp.items];
  const decides = deciding(items);
  const answer: Answer = {
    id: 'opening',
    question: 'What if this opens at the worst moment?',
    verdict: items.length === 0 ? 'cannot tell' : worst(items.map((item) => item.verdict)),
    says: decides === undefined ? 'Nothing that could open carries a current.' : summary(items, decides),
    figure: decides?.figure,
    limit: decides?.limit,
    margin: decides?.margin,
    passes: decides?.passes,
    items,
    needs: items.length === 0 ? ['a procedure that closes a switch, or controllers with their limits'] : braking.flatMap((item) => (item.verdict === 'cannot tell' ? [`absolute voltage of ${item.parts.at(-1)!}`] : [])),
    refused: undefined,
    parts: decides?.parts ?? [],
    evidence: drives.length === 0 ? [] : [table(base, faults, drives), ...powerUp.evidence],
    advice: [],
    basis: [
      match === undefined
        ? 'Full drive is every controller at its battery-current limit at once (its motor current where no limit is stated); no match has been played.'
        : `Full drive is the peak of the match ${match.name}.`,
      'A contact that parts burns an arc of the metal\'s minimum voltage (copper 13 V, silver 12 V; R. Holm, Electric Contacts, 4th ed.) while the leads\' inductance drives it: it is out when the current is zero, unless the banks behind have sagged so far that the circuit feeds it.',
      'A fed arc burns until the gap is too long for it (Stokes and Oppenländer, J. Phys. D 24 (1991) 26, which holds above 10 A).',
      'A transistor that cuts a current off has ½·L·I² to take, and what the source adds meanwhile; its lead before it rings against 10 nF of stray capacitance.',
      'Moments of the power-up are simulated: the contact is opened where the current of its closing is largest, a soft start is let go as soon as it has touched.',
    ],
    cautions: [
      ...(drives.some(({ broken }) => broken.dark.length > 0) ? ['What parts in a hit touches again: by then the banks behind have sagged, and it closes onto them without a soft start.'] : []),
      ...(items.some((item) => item.verdict === 'bad') ? ['Stop the motors first, then open: the order in which a machine is switched off is free.'] : []),
      ...(drives.some(({ part }) => part.kind === 'contactor') ? ['A plain diode across a contactor\'s coil slows it and lengthens its arc; a zener diode with it does not.'] : []),
    ],
    notAProblem: items.filter((item) => item.verdict === 'good').map((item) => `${item.where}: ${item.says}`).slice(0, 6),
  };
  return { answer, drawn: [] };
}

function summary(items: readonly Item[], decides: Item): string {
  const bad = items.filter((item) => item.verdict === 'bad').length;
  const start = decides.verdict === 'good' ? 'Nothing is harmed, though what hangs on it goes dark. For instance' : decides.verdict === 'bad' ? `${bad} of ${items.length} openings do harm. First:` : decides.verdict === 'marginal' ? 'Not much.' : 'That depends on a limit that is not given.';
  return `${start} ${decides.where}: ${decides.says}`;
}

function table({ circuit, machine }: Study, faults: FaultCurrents, drives: readonly DriveOpening[]): Evidence {
  const loads = (numbers: readonly number[]): string => numbers.map((k) => faults.network.loads[k]!.part).filter((part) => machine.parts.has(part)).join(', ');
  return {
    type: 'table',
    title: 'Opened with every controller at its limit',
    head: ['Part', 'Breaks', 'Inductance set free', 'Its energy', 'Voltage before it', 'Banks behind', 'Goes dark'],
    rows: drives.map(({ part, broken }) => [
      called(circuit, part.id), say(broken.current_A, 'current'), say(broken.inductance_H, 'inductance'), say(broken.stored_J, 'energy'), say(broken.supply_V, 'voltage', 3),
      broken.behind_F > 0 ? say(broken.behind_F, 'capacitance') : 'none', broken.dark.length === 0 ? 'nothing' : loads(broken.dark),
    ]),
  };
}
