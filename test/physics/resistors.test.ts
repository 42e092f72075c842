import { describe, expect, it } from 'vitest';
import { overloadEnergy_J, overloadPower_W, pulseEnergy, pulsePower_W, repeatedPower_W } from '../../src/physics/resistors.ts';
import { external } from '../external.ts';

describe('resistors', () => {
  it('takes its overload test', () => {
    const source = 'MIL-PRF-26 practice, short-time overload';
    external({ source, what: '225 W wirewound for 5 s, power', expected: 2250, got: overloadPower_W('aluminium-clad wirewound', 225), unit: 'W', absolute: 0 });
    external({ source, what: '225 W wirewound for 5 s, energy', expected: 11_250, got: overloadEnergy_J('aluminium-clad wirewound', 225), unit: 'J', absolute: 0 });
    external({ source: 'IEC 60115-1, short-time overload (from memory)', what: '1 W film, 2.5 times rated voltage', expected: 6.25, got: overloadPower_W('film', 1), unit: 'W', absolute: 0 });
    expect(overloadPower_W('cement wirewound', 3)).toBe(15);
  });
  it('keeps its joules for any short pulse', () => {
    const source = 'Vishay Dale, pulse handling of wirewound resistors: 5 W type, 24.5 J';
    external({ source, what: 'power for 1 ms', expected: 24_500, got: pulsePower_W(24.5, 1e-3), unit: 'W', relative: 1e-12 });
    external({ source, what: 'power for 1 µs', expected: 24.5e6, got: pulsePower_W(24.5, 1e-6), unit: 'W', relative: 1e-12 });
    const { low_J, high_J } = pulseEnergy('cement wirewound', 5);
    expect(low_J).toBeLessThan(24.5);
    expect(high_J).toBeGreaterThan(24.5);
  });
  it('grades sizes without a jump and averages repeats', () => {
    expect(pulseEnergy('cement wirewound', 7).low_J).toBeGreaterThan(20);
    expect(pulseEnergy('cement wirewound', 7).low_J).toBeLessThan(50);
    expect(pulseEnergy('cement wirewound', 20).high_J).toBe(300);
    expect(pulseEnergy('film', 0.5).high_J).toBe(1.5);
    external({ source: 'Miba, pulse load note: 3 charges in 10 s', what: 'average power of three 6 J pulses', expected: 1.8, got: repeatedPower_W(6, 3, 10), unit: 'W', relative: 1e-12 });
    expect(() => pulseEnergy('film', NaN)).toThrow(/rated_W/);
  });
});
