import { WIDTH } from '../engine/network/network.ts';
import { failuresOf, type Failure } from '../machine/network/failures.ts';
import { buildNetwork } from '../machine/network/network.ts';
import type { MachineNetwork } from '../machine/network/machine-network.ts';
import type { MotorBehind } from '../machine/network/motors.ts';
import { Setting, type Change } from '../machine/network/situation.ts';
import { quantile } from '../quantity/quantity.ts';
import { timeToHarm_s } from '../physics/resistor-limits.ts';
import type { Answer, Asked, Evidence, Item, Verdict } from './answer.ts';
import { limitsOf } from './soft-start-heat.ts';
import { available } from './states/available.ts';
import { arrangements, type Arrangement } from './states/bench-arrangements.ts';
import { reachedWith, touches } from './states/every-failure.ts';
import { EverySituation } from './states/every-state.ts';
import { BREAKAWAY_S, breakawayPower_W, burst_J, classify } from './states/load-class.ts';
import type { SampleRecord, Study } from './study.ts';
import { called, deciding, figure, RANK, say, worst } from './words.ts';

/** A failure counts when it lets so many times as much through. */
const WORSE = 1.5;

/** What one controller could do with its motor in one arrangement. */
interface Reach {
  readonly load: number;
  readonly awake: boolean;
  /** Voltage at its terminals at rest, V. */
  readonly rest_V: number;
  /** Most power that its supply gives while its logic stays awake, W. */
  readonly sustained_W: number;
  /** The same for the first instant: a lamp that is still cold. */
  readonly first_W: number;
  /** Energy of the banks that stand on its terminals, J. */
  readonly burst_J: number;
  /** Power that breaks its load away, W. */
  readonly needed_W: number;
}

interface Tried {
  readonly arrangement: Arrangement;
  readonly reaches: readonly Reach[];
  /** The failure that lets most through, and what then. */
  readonly failed: { readonly failure: Failure; readonly reach: Reach } | undefined;
}

/** Can the controllers be programmed on the soft start, or on a current-limited bench supply or a series lamp? */
export function programming(base: Study, _records: readonly SampleRecord[]): Asked {
  const network = buildNetwork(base.machine);
  const bench = new Bench(network);
  const tried = arrangements(network).map((one) => bench.attempt(one));
  const items = tried.flatMap((one) => [healthyItem(base, network, one), failedItem(base, network, one)].filter((item) => item !== undefined));
  const own = tried.filter(({ arrangement }) => arrangement.id === 'soft start');
  const decides = deciding(items.filter((one) => own.length === 0 || own.some(({ arrangement }) => one.where.startsWith(arrangement.words))));
  const best = tried.find((one) => verdictOf(one.reaches) === 'good');
  const answer: Answer = {
    id: 'programming',
    question: 'Can the controllers be programmed on the soft start, a limited bench supply or a series lamp?',
    verdict: verdictOfAll(tried, items),
    says: summary(base, network, tried, best),
    figure: decides?.figure,
    limit: decides?.limit,
    margin: decides?.margin,
    passes: undefined,
    items,
    needs: tried.length === 0 ? ['a pack'] : [],
    refused: undefined,
    parts: decides?.parts ?? [],
    evidence: [powerTable(base, network, tried)],
    advice: [],
    basis: [
      'A controller is a step-down converter: what counts is the power that its supply gives, and the joules in the capacitors on its terminals, against the heat of the motor’s windings at the current that breaks its load away.',
      `A burst counts when it lasts ${say(BREAKAWAY_S, 'time')} at that power (common practice, no source).`,
      ...measureBasis(network),
      'The power is the most that any resistance across the controller’s terminals draws while its logic stays awake, with everything else drawing what it draws.',
    ],
    cautions: ['Lock the weapon and lift the wheels all the same: a figure is no brake, and firmware can do what nobody expected. A bench supply takes no braking energy back: switch braking off, or leave a pack beside it.'],
    notAProblem: [],
  };
  return { answer, drawn: [] };
}

/** How to learn what decides. */
function measureBasis({ loads }: MachineNetwork): string[] {
  const guessed = loads.filter(({ motor }) => motor?.breakawayGuessed === true).map(({ part, motor }) => motor?.part ?? part);
  if (guessed.length === 0) return [];
  return [`What decides is the torque that breaks a load loose, with the wheels lifted and the weapon free. It is not stated for ${guessed.join(', ')} and taken from the class (common practice, no source): hang a lever and a spring balance on the shaft, divide by the gearing, and write it as \`breakaway torque\`.`];
}

/** What the machine's own soft starts allow; without one, the best of what a bench has. */
function verdictOfAll(tried: readonly Tried[], items: readonly Item[]): Verdict {
  const of = (some: readonly Tried[]): Verdict[] => some.map(({ arrangement }) => worst(items.filter((one) => one.where.startsWith(arrangement.words)).map((one) => one.verdict)));
  const own = tried.filter(({ arrangement }) => arrangement.id === 'soft start');
  if (own.length > 0) return worst(of(own));
  const bench = of(tried);
  return bench.sort((a, b) => RANK[a] - RANK[b])[0] ?? 'cannot tell';
}

/** Tries arrangements on one network. */
class Bench {
  private readonly setting: Setting;
  private readonly every: EverySituation;
  private readonly failures: readonly Failure[];

  constructor(private readonly network: MachineNetwork) {
    this.setting = new Setting(network, network.inputs.nominal());
    this.every = new EverySituation(this.setting);
    this.failures = failuresOf(network);
  }

  attempt(arrangement: Arrangement): Tried {
    const first = this.reaches({ ...arrangement, feed: arrangement.atFirst }, []);
    const reaches = this.reaches(arrangement, []).map((reach) => ({ ...reach, first_W: first.find((one) => one.load === reach.load)?.sustained_W ?? 0 }));
    let failed: Tried['failed'];
    // What moves as it stands needs no failure.
    if (verdictOf(reaches) === 'bad') return { arrangement, reaches, failed };
    for (const failure of this.failures) {
      const merged = reachedWith(this.setting, this.every, arrangement.situation, [failure]);
      if (!touches(failure, merged, this.setting) || !this.letsMoreThrough(arrangement, failure, merged, reaches)) continue;
      for (const reach of this.reaches(arrangement, [failure])) {
        const before = reaches.find((one) => one.load === reach.load);
        if (share(reach) > WORSE * share(before) && (failed === undefined || share(reach) > share(failed.reach))) failed = { failure, reach };
      }
    }
    return { arrangement, reaches, failed };
  }

  /** Whether a failure gives any controller half as much again as before: one load of constant power tells. */
  private letsMoreThrough(arrangement: Arrangement, failure: Failure, merged: ReturnType<typeof reachedWith>, before: readonly Reach[]): boolean {
    const { setting, network } = this;
    this.come(merged, [failure.change, arrangement.feed]);
    // The others let go when they are starved: what is asked is the most there can be.
    for (const { starting } of network.loads) if (starting !== undefined) setting.numbers[starting * WIDTH] = 0;
    const kept = setting.rest.voltages.slice();
    return before.some(({ load: k, sustained_W }) => {
      const load = network.loads[k]!;
      const at = load.trial! * WIDTH;
      if (!(setting.across(load) >= setting.stop_V[k]!)) return false;
      const own = setting.numbers[at + 1]!;
      setting.numbers[at] = 1;
      setting.numbers[at + 1] = WORSE * sustained_W;
      const more = setting.rest.solve({ plus: load.plus, minus: load.minus, least_V: setting.stop_V[k]! });
      setting.numbers[at] = 0;
      setting.numbers[at + 1] = own;
      setting.rest.voltages.set(kept);
      return more;
    });
  }

  private reaches(arrangement: Arrangement, failures: readonly Failure[]): Reach[] {
    const { setting, network } = this;
    const changes: Change[] = [...failures.map((failure) => failure.change), arrangement.feed];
    const merged = reachedWith(setting, this.every, arrangement.situation, failures);
    const classes = new Uint8Array(network.loads.length);
    this.come(merged, changes);
    classify(setting, merged.reached, classes);
    return network.loads.flatMap((load, k): Reach[] => {
      if (load.motor === undefined || arrangement.behind?.includes(k) === false) return [];
      const rest_V = setting.across(load);
      const awake = classes[k]! >= 2;
      return [{
        load: k,
        awake,
        rest_V,
        sustained_W: awake ? available(setting, k, setting.stop_V[k]).power_W : 0,
        first_W: 0,
        burst_J: awake ? this.burstAt(k, rest_V) : 0,
        needed_W: breakawayPower_W(setting, k),
      }];
    });
  }

  /** What the banks give that stand on the same terminals, its own and others'. */
  private burstAt(k: number, rest_V: number): number {
    const { loads } = this.network;
    return loads.reduce((sum, other, o) => (other.plus === loads[k]!.plus || o === k ? sum + burst_J(this.setting, o, rest_V) : sum), 0);
  }

  private come(merged: ReturnType<typeof reachedWith>, changes: readonly Change[]): void {
    // What feeds is said before the situation, which says whether the packs are there.
    this.setting.set(merged, changes, merged.reached);
    for (const change of changes.slice(-1)) change(this.setting);
    this.setting.settle();
  }
}

/** How far a controller's power goes towards breaking its load away. */
function share(reach: Reach | undefined): number {
  return reach === undefined || !(reach.needed_W > 0) ? 0 : reach.sustained_W / reach.needed_W;
}

/** Able to move, able to twitch, or neither. */
function verdictOf(reaches: readonly Reach[]): Verdict {
  const awake = reaches.filter((reach) => reach.awake);
  if (awake.some((reach) => reach.sustained_W >= reach.needed_W)) return 'bad';
  if (awake.some((reach) => reach.first_W >= reach.needed_W || reach.burst_J >= reach.needed_W * BREAKAWAY_S)) return 'marginal';
  return awake.length === 0 ? 'cannot tell' : 'good';
}

const SAID: Record<Verdict, string> = {
  good: 'cannot sustain motion; lock the weapon and lift the wheels all the same',
  marginal: 'can twitch',
  bad: 'can move',
  'cannot tell': 'its logic does not wake on this, so nothing can be programmed',
};

function healthyItem(base: Study, network: MachineNetwork, { arrangement, reaches }: Tried): Item | undefined {
  const most = [...reaches].sort((a, b) => share(b) - share(a))[0];
  if (most === undefined) return undefined;
  return item(base, network, arrangement, most, verdictOf(reaches), undefined);
}

function failedItem(base: Study, network: MachineNetwork, { arrangement, failed, reaches }: Tried): Item | undefined {
  if (failed === undefined || verdictOf(reaches) === 'bad') return undefined;
  const verdict = verdictOf([failed.reach]);
  // It takes a failure first, but nobody would know of it.
  return item(base, network, arrangement, failed.reach, verdict === 'bad' ? 'marginal' : verdict, failed.failure);
}

function item(base: Study, network: MachineNetwork, arrangement: Arrangement, reach: Reach, verdict: Verdict, failure: Failure | undefined): Item {
  const load = network.loads[reach.load]!;
  const motor = load.motor!;
  const { values } = base;
  const amps = Math.min(Math.sqrt(reach.sustained_W / motor.resistance(values)), values[network.inputs.at(`${load.part}.motorCurrent`)]!);
  const torque = motor.torqueConstant === undefined ? '' : `, ${say(amps * motor.torqueConstant(values), 'torque')} at its shaft`;
  const told = decidedBy(base, network, motor, amps, verdict === 'good' && failure === undefined);
  const turns = motor.torqueConstant === undefined ? '' : `, and up to ${say(reach.rest_V / motor.torqueConstant(values), 'angular speed')} once it turns`;
  const cold = reach.first_W > 1.2 * reach.sustained_W ? ` Cold, the lamp lets ${say(reach.first_W, 'power')} through for a moment.` : '';
  const lasts = reach.burst_J / Math.max(reach.needed_W, Number.MIN_VALUE);
  const limits = arrangement.resistor === undefined ? undefined : limitsOf(base, arrangement.resistor);
  const heat = limits === undefined || !(reach.sustained_W > limits.rated_W) ? '' : ` ${arrangement.resistor!} stands that for ${say(timeToHarm_s(limits, reach.sustained_W), 'time')}.`;
  const said = failure !== undefined && verdict === 'marginal' ? verdictOf([reach]) : verdict;
  return {
    where: `${arrangement.words}${failure === undefined ? '' : `, ${failure.words}`}`,
    verdict,
    measure: `for ${load.part} while its logic stays awake`,
    figure: figure(reach.sustained_W, 'W', 'power', []),
    limit: reach.needed_W,
    margin: reach.needed_W - reach.sustained_W,
    passes: undefined,
    parts: [load.part, ...(motor.part === undefined ? [] : [motor.part]), ...(failure === undefined ? [] : [failure.part])].filter((part) => base.machine.parts.has(part)),
    says: `${called(base.circuit, load.part)} ${SAID[said]}: at ${say(reach.rest_V, 'voltage')} its supply gives up to ${say(reach.sustained_W, 'power')}, which is ${say(amps, 'current')} in a stalled motor${torque}${turns}; ${say(reach.needed_W, 'power')} break its load away${told} The capacitors on its terminals hold ${say(reach.burst_J, 'energy')}, enough for ${say(lasts, 'time')} of that.${heat}${cold}`,
    slip: false,
  };
}

/** What the verdict hangs on: the torque that breaks the load loose, where that comes from, and from which one on it would turn. */
function decidedBy({ values }: Study, network: MachineNetwork, motor: MotorBehind, amps: number, stays: boolean): string {
  const { torqueConstant } = motor;
  if (torqueConstant === undefined) return '.';
  const constant = torqueConstant(values);
  const breaks = say(motor.breakaway(values) * constant, 'torque');
  const { quantity } = motor.part !== undefined && network.inputs.has(`${motor.part}.breakawayTorque`) ? network.inputs.list[network.inputs.at(`${motor.part}.breakawayTorque`)]! : { quantity: undefined };
  const from = !motor.breakawayGuessed ? '' : quantity === undefined ? ' by a class default' : ` by a class default, which may be ${say(quantile(quantity, 0.05), 'torque')} to ${say(quantile(quantity, 0.95), 'torque')}`;
  return `: it is ${breaks} at the motor shaft${from}. It ${stays ? 'would turn were that' : 'would stay put only were that over'} ${say(amps * constant, 'torque')}${stays ? ' or less' : ''}.`;
}

function summary(base: Study, network: MachineNetwork, tried: readonly Tried[], best: Tried | undefined): string {
  const first = tried[0];
  if (first === undefined) return 'There is nothing to feed the controllers with.';
  const own = healthyItem(base, network, first);
  const other = best === undefined || best === first ? '' : ` Better: ${best.arrangement.words}.`;
  return own === undefined ? 'No controller drives a motor.' : `On ${first.arrangement.words}: ${own.says}${other}`;
}

function powerTable(base: Study, network: MachineNetwork, tried: readonly Tried[]): Evidence {
  return {
    type: 'table',
    title: 'What each controller gets, and what its motor could do with it',
    head: ['fed by', 'controller', 'logic', 'power for long', 'held in capacitors', 'breaks its load away'],
    rows: tried.flatMap(({ arrangement, reaches }) => reaches.map((reach) => [
      arrangement.words,
      called(base.circuit, network.loads[reach.load]!.part),
      reach.awake ? `awake at ${say(reach.rest_V, 'voltage')}` : `asleep at ${say(reach.rest_V, 'voltage')}`,
      say(reach.sustained_W, 'power'),
      say(reach.burst_J, 'energy'),
      say(reach.needed_W, 'power'),
    ])),
  };
}
