import { describe, expect, it } from 'vitest';
import { constantCurrentSpinUp_s, kineticEnergy_J, motorCurrent_A, motorPoints, reflectedInertia_kgm2, speedConstant_rpm_V, spinUpAt, spinUpConstant_s, torqueConstant_Nm_A } from '../../src/physics/motors.ts';
import { external } from '../external.ts';

const RPM = (2 * Math.PI) / 60;

describe('motors', () => {
  it('starts and runs as the textbook', () => {
    const source = 'OpenStax College Physics 23.6: 48.0 V, 0.400 Ω';
    external({ source, what: 'stall current', expected: 120, got: motorCurrent_A(48, 0.4, 0), unit: 'A', relative: 1e-12 });
    external({ source, what: 'current at 40.0 V back-EMF', expected: 20, got: motorCurrent_A(48, 0.4, 40), unit: 'A', relative: 1e-12 });
    external({ source: 'College Physics problem: 120 V, 13 Ω', what: 'current at 66 V back-EMF', expected: 4.15, got: motorCurrent_A(120, 13, 66), unit: 'A', absolute: 0.005 });
  });
  it('stores what the textbook stores', () => {
    const inertia = 4 * (50 * 4 ** 2) / 3;
    external({ source: 'OpenStax College Physics, example 10.9', what: 'helicopter rotor at 300 rpm', expected: 5.26e5, got: kineticEnergy_J(inertia, 300 * RPM), unit: 'J', relative: 0.002 });
    external({ source: 'OpenStax College Physics, example 10.8', what: 'grindstone 4.352 kg·m² at 5.42 rad/s', expected: 64, got: kineticEnergy_J(4.352, 5.42), unit: 'J', absolute: 0.1 });
  });
  it('has one constant for torque and back-EMF', () => {
    external({ source: 'SI definition, Kt = 60/(2π·Kv)', what: 'torque constant of 1000 rpm/V', expected: 0.0095493, got: torqueConstant_Nm_A(1000), unit: 'N·m/A', absolute: 5e-8 });
    // A homework item gives 0.12 N·m/A with 12 V/krpm as if independent: 12 V/krpm is 0.1146.
    external({ source: 'SI definition; 12 V/krpm', what: 'torque constant of 12 V/krpm', expected: 0.1146, got: torqueConstant_Nm_A(1000 / 12), unit: 'N·m/A', absolute: 0.00005 });
    expect(speedConstant_rpm_V(torqueConstant_Nm_A(870))).toBeCloseTo(870, 9);
  });
  it('spins up in the closed-form time and loses as heat what it stores', () => {
    external({ source: 'Jω/(Kt·I), worked by hand', what: '1e-3 kg·m² to 8000 rpm, 0.01 N·m/A, 100 A', expected: 0.8378, got: constantCurrentSpinUp_s(1e-3, 8000 * RPM, 0.01, 100), unit: 's', absolute: 0.0001 });
    const drive = { resistance_ohm: 0.4, torqueConstant_Nm_A: 0.047746, inertia_kgm2: 5e-3 };
    external({ source: 'J·R/Kt², worked by hand', what: 'time constant of 5e-3 kg·m², 0.4 Ω, 0.047746 N·m/A', expected: 0.8773, got: spinUpConstant_s(drive), unit: 's', absolute: 0.0001 });
    const end = spinUpAt(drive, 48, 40);
    external({ source: 'energy balance of a spin-up: heat equals ½J(V/Kt)²', what: 'copper heat of a full spin-up at 48 V', expected: 2527, got: end.copperHeat_J, unit: 'J', absolute: 1 });
    expect(end.copperHeat_J).toBeCloseTo(kineticEnergy_J(5e-3, end.speed_rad_s), 6);
    expect(() => spinUpAt(drive, NaN, 1)).toThrow(/voltage_V/);
  });
  it('has the starting values of the textbooks', () => {
    const coil = motorPoints({ voltage_V: 48, resistance_ohm: 0.4, torqueConstant_Nm_A: 0.05, noLoadCurrent_A: 1 });
    external({ source: 'OpenStax College Physics 23.6: 48.0 V, 0.400 Ω', what: 'power of the stalled coil', expected: 5760, got: 48 * coil.stallCurrent_A, unit: 'W', relative: 1e-9 });
    external({ source: 'OpenStax College Physics 23.6: 48.0 V, 0.400 Ω', what: 'loss at 40.0 V back-EMF', expected: 160, got: motorCurrent_A(48, 0.4, 40) ** 2 * 0.4, unit: 'W', relative: 1e-9 });
    external({ source: 'college-physics problem: 6.00 V, 4.50 V back-EMF at 3.00 A', what: 'starting current', expected: 12, got: motorCurrent_A(6, (6 - 4.5) / 3, 0), unit: 'A', relative: 1e-9 });
    external({ source: 'college-physics problem: 115 V, 21.5 A at start, 6.5 A running', what: 'back-EMF', expected: 80.23, got: 115 - 6.5 * (115 / 21.5), unit: 'V', absolute: 0.005 });
    external({ source: 'college-physics problem: 120 V, 13 Ω', what: 'starting current', expected: 9.23, got: motorCurrent_A(120, 13, 0), unit: 'A', absolute: 0.005 });
  });
  it('is best where a search says', () => {
    const inputs = { voltage_V: 24, resistance_ohm: 0.1, torqueConstant_Nm_A: 0.03, noLoadCurrent_A: 4 };
    const points = motorPoints(inputs);
    let power = 0;
    let share = 0;
    let at = 0;
    for (let current = 4; current <= 240; current += 0.01) {
      const shaft = 0.03 * (current - 4) * ((24 - 0.1 * current) / 0.03);
      power = Math.max(power, shaft);
      if (shaft / (24 * current) > share) [share, at] = [shaft / (24 * current), current];
    }
    const source = 'straight-line motor, shaft power searched in steps of 10 mA';
    external({ source, what: 'greatest shaft power, 24 V, 0.1 Ω, 4 A no load', expected: power, got: points.mostPower_W, unit: 'W', relative: 1e-6 });
    external({ source, what: 'best efficiency of it', expected: share, got: points.bestEfficiency, unit: '1', relative: 1e-6 });
    external({ source, what: 'current of best efficiency', expected: at, got: points.bestCurrent_A, unit: 'A', relative: 1e-3 });
    expect(reflectedInertia_kgm2(0.09, 3)).toBeCloseTo(0.01, 12);
    expect(() => motorPoints({ ...inputs, noLoadCurrent_A: 240 })).toThrow(/noLoadCurrent_A/);
    expect(() => reflectedInertia_kgm2(1, 0)).toThrow(/gearing/);
  });
});
