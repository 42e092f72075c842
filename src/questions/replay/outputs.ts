import { isDownstream, pointOf } from '../../machine/circuit/nets.ts';
import type { Machine } from '../../machine/machine.ts';
import type { Columns } from './columns.ts';
import { lastBefore, type LoadTrack } from './replay.ts';

/**
 * Voltages behind converters and regulators. A run of the procedure follows what these take and not what they give: one
 * that runs gives its rated output, a linear one what stands at its input less its drop-out at most.
 * @param volts  voltage of each point that the run followed; those that are found are added
 */
export function addOutputs(machine: Machine, volts: Map<string, ArrayLike<number>>, time_s: readonly number[], loads: readonly LoadTrack[], columns: Columns): void {
  const give = (point: string, owner: string | undefined, curve: ArrayLike<number>): boolean => {
    if (volts.has(point)) return false;
    volts.set(point, curve);
    columns.add(`${owner ?? point} voltage`, 'voltage', [{ point }, ...(owner === undefined ? [] : [{ part: owner }])], curve);
    return true;
  };
  const along = (): boolean => machine.wiring.chains.some((chain) => {
    const from = volts.get(pointOf(chain.from));
    if (from === undefined || !isDownstream(machine, chain)) return false;
    const to = pointOf(chain.to);
    return give(to, to.endsWith('+') ? to.slice(0, -1) : undefined, from);
  });
  const through = (): boolean => [...machine.parts.values()].some((part) => {
    if (part.kind !== 'converter' && part.kind !== 'regulator') return false;
    const input = volts.get(`${part.id}+`);
    if (input === undefined || volts.has(`${part.id} out`)) return false;
    const output_V = part.values.output.value;
    if (part.kind === 'regulator') {
      const drop_V = part.values.dropOut?.value ?? 0;
      return give(`${part.id} out`, undefined, Float64Array.from(input, (volt) => Math.max(0, Math.min(output_V, volt - drop_V))));
    }
    const runs = loads.find((load) => load.part === part.id)?.runs ?? [];
    return give(`${part.id} out`, undefined, Float64Array.from(time_s, (time) => (lastBefore(runs, time)?.on === true ? output_V : 0)));
  });
  while (along() || through());
}
