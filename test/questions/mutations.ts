import { sampler } from '../../src/quantity/random.ts';
import { demoText, edited, machineOf, type DemoName } from './machines.ts';

/** A file of a demo with values drawn over wide ranges, the same for the same numbers. */
export function mutated(name: DemoName, seed: number, k: number): { readonly text: string; readonly values: Readonly<Record<string, string>> } {
  const original = demoText(name);
  const uniform = sampler(seed, k);
  const machine = machineOf(original);
  const values: Record<string, string> = {};
  const between = (low: number, high: number): number => low + (high - low) * uniform();
  const decades = (low: number, high: number): number => low * (high / low) ** uniform();
  const put = (path: string, value: number, unit: string): void => {
    const drawn = uniform();
    const spread = uniform();
    if (drawn > 0.6) return;
    values[path] = `${Number(value.toPrecision(4))} ${unit}${spread < 0.5 ? '' : spread < 0.8 ? ' ±10 %' : ' ±40 %'}`;
  };
  for (const part of machine.parts.values()) {
    const at = (field: string): string => `parts.${part.id}.${field}`;
    switch (part.kind) {
      case 'pack': {
        const cells = Math.floor(between(2, 61));
        values[at('cells')] = `${cells}`;
        values[at('full voltage')] = '4.2 V per cell';
        put(at('cell resistance'), decades(0.3, 60), 'mΩ');
        break;
      }
      case 'resistor':
        put(at('resistance'), decades(0.1, 1e5), 'Ω');
        break;
      case 'controller':
        put(at('capacitance'), decades(1, 1e5), 'µF');
        put(at('series resistance'), decades(1, 300), 'mΩ');
        put(at('standby'), uniform() < 0.2 ? 0 : between(0, 2), 'A');
        put(at('logic start'), between(3, 40), 'V');
        break;
      case 'converter': {
        // The stop lies below the start, but so close at times that their spreads cross.
        const start_V = between(4, 60);
        const stop_V = start_V * between(0.3, 0.99);
        for (const [field, volts] of [['start', start_V], ['stop', stop_V]] as const) values[at(field)] = `${volts.toPrecision(4)} V ±${uniform() < 0.5 ? 1 : 30} %`;
        put(at('running'), decades(0.1, 300), 'W');
        put(at('electrolytic'), decades(1, 3000), 'µF');
        put(at('ceramic'), uniform() < 0.3 ? 0 : decades(0.1, 100), 'µF');
        break;
      }
      case 'isolator':
        put(at('gap'), decades(0.1, 500), 'ms');
        put(at('bounce'), uniform() < 0.2 ? 0 : decades(0.01, 5), 'ms');
        put(at('force rise'), decades(0.02, 5), 'ms');
        put(at('closed resistance'), decades(0.05, 50), 'mΩ');
        break;
      case 'bleed':
        put(at('resistance'), decades(100, 1e5), 'Ω');
        break;
      default:
        break;
    }
  }
  machine.powerUp.forEach((step, at) => {
    if (step.act === 'wait' && uniform() < 0.5) values[`procedure.${at}`] = `wait ${Number(decades(0.005, 10).toPrecision(3))} s`;
  });
  return { text: edited(original, values), values };
}
