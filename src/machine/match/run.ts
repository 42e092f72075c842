import type { Peak, PeakRequest } from '../../engine/peaks.ts';
import { simulate, type Run, type ScheduledAction } from '../../engine/simulate.ts';
import { RODAS4 } from '../../engine/tableau.ts';
import type { Statistics } from '../../engine/outcome.ts';
import type { Duty } from '../duty/duty.ts';
import { drawDuty } from '../duty/draw.ts';
import { curveWatches, curvesOf, envelopeOf, NO_MINUS } from './curves.ts';
import type { MatchModel } from './model.ts';
import type { ControllerRecord, Extreme, HeatRecord, MatchCurves, MatchOutcome, MatchRecord, MotorRecord, PackRecord, RadioRecord } from './record.ts';
import { matchScript, type MatchScript } from './script.ts';

export interface MatchRequest {
  /** Of the machine's inputs; the nominal ones when left out. */
  readonly values?: Float64Array;
  /** The machine's own when left out. */
  readonly duty?: Duty;
  /** Seed of the duty's events. */
  readonly seed: number;
  readonly length_s?: number;
  /** Actions of an imported log, which take the place of the duty. */
  readonly played?: { readonly name: string; readonly actions: readonly ScheduledAction[] };
  /** Keeps curves and the fuses' envelopes; thinned out for a screen, or every point. */
  readonly curves?: boolean | 'every point';
  /**
   * Relative tolerance. Against converged runs of the demos 1e-3 keeps every figure within 0.6 % (the worst are peaks of a
   * motor current), 1e-4 within 0.1 %.
   */
  readonly tolerance?: number;
}

const TOLERANCE = 1e-3;

/** Fights one match. */
export function runMatch(match: MatchModel, request: MatchRequest): MatchOutcome {
  const values = request.values ?? match.inputs.nominal();
  const length_s = request.length_s ?? match.machine.match.value;
  const duty = request.duty ?? match.machine.duty;
  const parameters = match.parametersFor(values);
  const script: MatchScript = request.played === undefined ? matchScript(match, drawDuty(duty, request.seed, length_s), values, parameters) : { actions: request.played.actions, during: () => [] };
  const curves = (request.curves ?? false) !== false;
  const extremes = new Extremes(length_s);
  const read = recordReader(match, extremes);
  const outcome = simulate({
    model: match.model, parameters, initial: match.initialFor(values), end_s: length_s, automata: match.automata, script: script.actions,
    method: RODAS4, tolerance: request.tolerance ?? TOLERANCE, peaks: extremes.requests,
    ...(curves ? { record: { watches: curveWatches(match).map(({ watch }) => watch), between: 1 } } : {}),
  });
  if (outcome.status === 'refused') return { status: 'refused', refusal: outcome.refusal, statistics: outcome.statistics };
  const name = request.played?.name ?? duty.name;
  return { status: 'done', record: read(outcome.result, { name, seed: request.seed, length_s, values, script, statistics: outcome.statistics, curves: request.curves ?? false }) };
}

interface About {
  readonly name: string;
  readonly seed: number;
  readonly length_s: number;
  readonly values: Float64Array;
  readonly script: MatchScript;
  readonly statistics: Statistics;
  readonly curves: boolean | 'every point';
}

/** Asks for extremes of watches, each once. */
class Extremes {
  readonly requests: PeakRequest[] = [];
  private readonly known = new Map<string, number>();

  constructor(private readonly length_s: number) {}

  of(watch: number, sign: 1 | -1): (peaks: readonly Peak[]) => Peak {
    const key = `${watch} ${sign}`;
    let at = this.known.get(key);
    if (at === undefined) {
      at = this.requests.length;
      this.known.set(key, at);
      this.requests.push({ of: { watch }, sign, from_s: 0, until_s: this.length_s });
    }
    const index = at;
    return (peaks) => peaks[index]!;
  }
}

/** Asks for everything that a record holds, and returns how to read it from a run. */
function recordReader(match: MatchModel, extremes: Extremes): (run: Run, about: About) => MatchRecord {
  const high = (watch: number) => extremes.of(watch, 1);
  const low = (watch: number) => extremes.of(watch, -1);
  const temperatures = match.lumps.map((lump) => high(lump.watch));
  const currents = new Map(match.currents.map((current) => [current.key, { current, most: high(current.watch), least: low(current.watch) }]));
  const packs = match.packs.map(({ battery }) => ({ low: low(battery.terminalWatch), high: high(battery.terminalWatch), cell: low(battery.weakest!.cellWatch) }));
  const buses = match.buses.map(({ watch }) => ({ low: low(watch), high: high(watch) }));
  const units = match.units.map(({ drive }) => ({ most: high(drive.busCurrentWatch), least: low(drive.busCurrentWatch), fast: high(drive.motor.speedWatch), back: low(drive.motor.speedWatch) }));
  const rails = match.radios.map(({ rail }) => low(rail));
  const inputs = match.converters.map(({ handle }) => low(handle.inputWatch));
  const warmths = match.fuses.map(({ fuse }) => high(fuse.warmthWatch));

  return (run, about) => {
    const { values, length_s, script } = about;
    const extreme = ({ value, time }: Peak, scale = 1): Extreme => ({ value: scale * value + NO_MINUS, time_s: time, during: script.during(time) });
    const found = (of: (peaks: readonly Peak[]) => Peak): Extreme => extreme(of(run.peaks));
    const returned = (of: (peaks: readonly Peak[]) => Peak): Extreme => {
      const peak = of(run.peaks);
      return peak.value < 0 ? extreme(peak, -1) : { value: 0, time_s: peak.time, during: [] };
    };
    const rms = (squared: number): number => Math.sqrt(Math.max(0, run.unknowns[squared]!) / length_s);
    const strongest = (key: string): Extreme => {
      const one = currents.get(key);
      if (one === undefined) return { value: 0, time_s: 0, during: [] };
      const [most, least] = [one.most(run.peaks), one.least(run.peaks)];
      return -least.value > most.value ? extreme(least, -1) : extreme(most);
    };
    const noted = (what: string): number[] => run.notes.filter((note) => note.what === what).map(({ time }) => time);
    const curves = about.curves === false ? undefined : curvesOf(match, run, about.curves === true);
    const air = values[match.inputs.at('surroundings.inside')]!;
    const hottest = (where: string): Extreme => {
      const at = match.lumps.findIndex((lump) => lump.where === where);
      return found(temperatures[at]!);
    };

    const heats = match.lumps.map((lump, k): HeatRecord => {
      const end = run.unknowns[lump.node.unknown]!;
      const carried = lump.carries === undefined ? undefined : currents.get(lump.carries);
      return {
        where: lump.where, name: lump.name, sort: lump.sort, hottest: found(temperatures[k]!), atStart_C: lump.sort === 'pack' ? values[match.inputs.at(`${lump.where}.temperature`)]! : air, atEnd_C: end,
        limit_C: lump.limit?.(values), peak_A: lump.carries === undefined ? 0 : strongest(lump.carries).value, rms_A: carried === undefined ? 0 : rms(carried.current.squared),
        capacity_J_K: lump.capacity(values), conductance_W_K: lump.conductance(values, end, air),
      };
    });
    const quiet = match.quiet.map(({ piece, law, current_A }): HeatRecord => {
      const current = current_A(values);
      const settled = law.settled_C(values, current);
      return {
        where: piece.where, name: piece.name, sort: 'cable', hottest: { value: settled, time_s: length_s, during: [] }, atStart_C: air, atEnd_C: settled, limit_C: law.limit_C,
        peak_A: current, rms_A: current, capacity_J_K: law.capacity(values), conductance_W_K: law.conductance(values, settled),
      };
    });
    return {
      duty: about.name, seed: about.seed, length_s,
      radios: match.radios.map((radio, k): RadioRecord => {
        const losses = lossesOf(noted(`${radio.part} loses control`), noted(`${radio.part} is back`), script);
        return { part: radio.part, lowest: found(rails[k]!), reset_V: radio.reset(values), losses, without_s: losses.reduce((sum, loss) => sum + (loss.until_s ?? length_s) - loss.from_s, 0) };
      }),
      converters: match.converters.map(({ part, stop }, k) => ({ part, lowest: found(inputs[k]!), stop_V: stop(values), stops_s: noted(`${part} drops out`) })),
      packs: match.packs.map((pack, k): PackRecord => {
        const charge = run.unknowns[pack.battery.soc]!;
        const before = values[match.inputs.at(`${pack.part}.charge`)]!;
        const one = currents.get(pack.part)!;
        const of = packs[k]!;
        return {
          part: pack.part, used_C: (before - charge) * pack.capacity(values), usedShare: before - charge, chargeAtEnd: charge, lowest: found(of.low), highest: found(of.high),
          cellLowest: found(of.cell), cellHighest: extreme(of.high(run.peaks), 1 / values[match.inputs.at(`${pack.part}.cells`)]!), peak: found(one.most), returned: returned(one.least), rms_A: rms(pack.current.squared), hottest: hottest(pack.part),
        };
      }),
      buses: match.buses.map(({ point }, k) => ({ point, lowest: found(buses[k]!.low), highest: found(buses[k]!.high) })),
      heats: [...heats, ...quiet],
      fuses: match.fuses.map((fuse, k) => ({
        part: fuse.part, blows_s: noted(`${fuse.part} blows`)[0], warmth: found(warmths[k]!), peak: strongest(fuse.current.key), rms_A: rms(fuse.current.squared),
        envelope: curves === undefined ? undefined : envelopeOf(match, run, fuse.current.watch, length_s),
      })),
      protections: match.protections.map(({ part, current }) => ({ part, trips_s: run.notes.find(({ what }) => what.startsWith(`${part} trips`))?.time, peak: strongest(current.key) })),
      controllers: match.units.map((unit, k): ControllerRecord => {
        const of = units[k]!;
        const hot = hottest(unit.controller);
        const [from, to] = [unit.foldFrom(values), unit.foldTo(values)];
        return {
          part: unit.controller, lowest: found(buses[unit.bus]!.low), highest: found(buses[unit.bus]!.high), cutOuts_s: noted(`${unit.controller} stops`), overvoltages_s: noted(`${unit.controller} lets go: over-voltage`),
          busPeak: found(of.most), returned: returned(of.least), motorPeak: strongest(unit.motorCurrent.key), motorRms_A: rms(unit.motorCurrent.squared), hottest: hot,
          leastAllowed: Math.min(1, Math.max(0, (to - hot.value) / (to - from))),
        };
      }),
      motors: match.units.flatMap((unit, k) => unit.motors.map((part): MotorRecord => ({
        part, controller: unit.controller, peak_A: strongest(unit.motorCurrent.key).value / unit.motors.length, rms_A: rms(unit.motorCurrent.squared) / unit.motors.length,
        fastest_rad_s: Math.max(units[k]!.fast(run.peaks).value, -units[k]!.back(run.peaks).value), hottest: hottest(unit.motors[0]!), hits_J: run.unknowns[unit.drive.motor.hits]! / unit.motors.length,
      }))),
      energy: run.balance,
      notes: run.notes.map(({ time, what, value }) => ({ time_s: time, what, value })),
      curves: curves satisfies MatchCurves | undefined,
      statistics: about.statistics,
    };
  };
}

function lossesOf(lost: readonly number[], back: readonly number[], script: MatchScript): RadioRecord['losses'] {
  return lost.map((from_s) => ({ from_s, until_s: back.find((time) => time > from_s), during: script.during(from_s) }));
}
