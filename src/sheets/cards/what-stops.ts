import type { Machine } from '../../machine/machine.ts';
import { FaultCurrents } from '../../questions/states/fault-currents.ts';
import { calledPart } from '../source.ts';

/** What goes dark when switches and plugs are opened one by one, with everything else on. */
export class WhatStops {
  private readonly faults: FaultCurrents;
  private readonly controllers: readonly string[];
  private readonly lamps: readonly string[];

  constructor(private readonly machine: Machine) {
    this.faults = new FaultCurrents(machine);
    const fed = new Set(this.faults.network.loads.map(({ part }) => part));
    const of = (kind: string): string[] => [...machine.parts.values()].filter((part) => part.kind === kind && fed.has(part.id)).map(({ id }) => id);
    this.controllers = of('controller');
    this.lamps = of('lamp');
  }

  /**
   * What stops as these parts are opened one after the other: each by itself, or with those before it that stopped
   * nothing, as the connector of the second of two packs does.
   */
  wordsOf(parts: readonly string[]): readonly string[] {
    const idle: string[] = [];
    return parts.map((part) => {
      const dark = this.dark([part, ...idle]);
      if (dark.size === 0) idle.push(part);
      return this.words(dark);
    });
  }

  private dark(parts: readonly string[]): ReadonlySet<string> {
    const { network } = this.faults;
    const rows = parts.map((part) => network.rows.findIndex((row) => row.part === part));
    const cut = network.strands.flatMap(({ strand }, s) => (strand.parts.some((part) => parts.includes(part)) || strand.gates.some((row) => rows.includes(row)) ? [s] : []));
    return new Set(this.faults.darkWith(new Set(cut)).map((k) => network.loads[k]!.part));
  }

  private words(dark: ReadonlySet<string>): string {
    const stops = this.controllers.filter((id) => dark.has(id));
    const fades = this.lamps.filter((id) => dark.has(id));
    if (stops.length === 0 && fades.length === 0) return dark.size === 0 ? 'nothing by itself: go on' : 'no motor stops: go on';
    const all = stops.length === this.controllers.length;
    const lamps = fades.length === 0 ? '' : all ? `, ${this.lamps.length === 1 ? 'lamp fades' : 'lamps fade'}` : `, lamp ${fades.join(', ')} ${fades.length === 1 ? 'fades' : 'fade'}`;
    return all ? `all stops${lamps}` : `${stops.length === 0 ? 'no motor stops' : `stops: ${this.called(stops)}`}${lamps}; the rest goes on`;
  }

  /** Motors are what is seen to stop. */
  private called(controllers: readonly string[]): string {
    return controllers.flatMap((id) => {
      const part = this.machine.parts.get(id);
      const driven = part?.kind === 'controller' ? [part.values.drives, part.values.alsoDrives].filter((one) => one !== undefined) : [];
      return (driven.length === 0 ? [id] : driven).map((one) => calledPart(this.machine, one));
    }).join(', ');
  }
}
