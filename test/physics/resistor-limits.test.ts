import { describe, expect, it } from 'vitest';
import { allowedEnergy_J, bodyTimeConstant_s, resistorLimits, timeToHarm_s } from '../../src/physics/resistor-limits.ts';
import { sampler } from '../../src/quantity/random.ts';
import { external } from '../external.ts';

const cement10 = resistorLimits('cement wirewound', 10, 50);

describe('what a resistor takes', () => {
  it('is its overload test after five seconds', () => {
    const source = 'MIL-PRF-26 practice, short-time overload: ten times rated power for 5 s';
    external({ source, what: '10 W wirewound, energy within 5 s', expected: 500, got: allowedEnergy_J(cement10, 5), unit: 'J', relative: 1e-12 });
    external({ source: 'MIL-PRF-26 practice: no more power for a shorter overload than for five seconds', what: '10 W wirewound, energy within 2 s', expected: 200, got: allowedEnergy_J(cement10, 2), unit: 'J', relative: 1e-12 });
    external({ source, what: '225 W wirewound, energy within 5 s', expected: 11_250, got: allowedEnergy_J(resistorLimits('aluminium-clad wirewound', 225, 1000), 5), unit: 'J', relative: 1e-12 });
    external({ source: 'IEC 60115-1, short-time overload (from memory)', what: '1 W film, energy within 5 s', expected: 31.25, got: allowedEnergy_J(resistorLimits('film', 1, 1), 5), unit: 'J', relative: 1e-12 });
  });

  it('is the same joules for any short pulse', () => {
    const source = 'Vishay Dale, pulse handling of wirewound resistors: 5 W type, 24.5 J';
    const five = resistorLimits('cement wirewound', 5, 24.5);
    external({ source, what: 'time that 24.5 kW may last in a 5 W wirewound', expected: 1e-3, got: timeToHarm_s(five, 24_500), unit: 's', relative: 1e-12 });
    external({ source, what: 'time that 24.5 MW may last in a 5 W wirewound', expected: 1e-6, got: timeToHarm_s(five, 24.5e6), unit: 's', relative: 1e-12 });
    for (const within_s of [1e-6, 1e-3, 0.1]) expect(allowedEnergy_J(five, within_s)).toBe(24.5);
  });

  it('tends to its rating, which it takes for ever', () => {
    external({ source: 'definition of a power rating', what: '10 W wirewound over an hour, mean power', expected: 10, got: allowedEnergy_J(cement10, 3600) / 3600, unit: 'W', relative: 1e-9 });
    expect(timeToHarm_s(cement10, 10)).toBe(Infinity);
    expect(timeToHarm_s(cement10, 10.01)).toBeLessThan(Infinity);
  });

  it('lasts as long as a body of one time constant needs to reach what its rating brings it to', () => {
    // Stepped by hand: temperature follows dx/dt = (P - x)/tau, in watts of steady power.
    for (const power_W of [11.7, 17.64, 40]) {
      const tau = bodyTimeConstant_s(cement10);
      const step_s = 1e-3;
      let x = 0;
      let time_s = 0;
      while (x < 10) {
        x += (step_s * (power_W - x)) / tau;
        time_s += step_s;
      }
      external({ source: 'heat balance of one body, stepped with 1 ms', what: `time until a 10 W wirewound has used up its rating at ${power_W} W`, expected: time_s, got: timeToHarm_s(cement10, power_W), unit: 's', relative: 1e-3 });
    }
  });

  it('never falls with time, and harm never comes later with more power (seed 11)', () => {
    const uniform = sampler(11, 0);
    for (let k = 0; k < 300; k++) {
      const limits = resistorLimits(uniform() < 0.5 ? 'cement wirewound' : 'film', 0.5 + 50 * uniform(), 0.5 + 100 * uniform());
      const [early, late] = [10 ** (6 * uniform() - 4), 10 ** (6 * uniform() - 4)].sort((a, b) => a - b) as [number, number];
      expect(allowedEnergy_J(limits, late)).toBeGreaterThanOrEqual(allowedEnergy_J(limits, early) * (1 - 1e-12));
      const [little, much] = [early * limits.rated_W, late * limits.rated_W];
      expect(timeToHarm_s(limits, much)).toBeLessThanOrEqual(timeToHarm_s(limits, little));
    }
  });

  it('is refused for what is no number', () => {
    expect(() => resistorLimits('film', NaN, 1)).toThrow(/rated_W/);
    expect(() => resistorLimits('film', 1, NaN)).toThrow(/pulse_J/);
    expect(() => allowedEnergy_J(cement10, NaN)).toThrow(/within_s/);
    expect(() => timeToHarm_s(cement10, NaN)).toThrow(/power_W/);
  });
});
