import { classDefault, classDefaultTimes } from '../classes.ts';
import { COMMON_PRACTICE, defineKind, type PartOf } from '../kind.ts';

/** Mass of a motor of which nothing is known, kg, and how much wider its defaults then are. */
const USUAL_KG = 0.5;
const UNKNOWN_SIZE = 3;
/**
 * A motor's friction grows about as its mass, its rotor's inertia as its mass to the power 5/3 (alike in shape). What it
 * takes to break loose, with cogging and the gear train behind it, is about twice its friction: one to six times, for a
 * planetary gear with fresh grease or a strong cogging. Common practice, no source. It is little beside what a motor gives:
 * with a greatest efficiency (1 − √(I₀/I_stall))² of 90 to 70 % its friction is 0.3 to 3 % of its stall torque.
 */
const FRICTION_NM_PER_KG = 0.03;
const BREAKAWAY_OVER_FRICTION = 2;
const ROTOR_KGM2_AT_1_KG = 7e-5;

/** Inductance over resistance of small motors, s. Common practice, no source. */
const WINDING_S = 3e-4;
const WINDING_LIMIT_SOURCE = 'thermal class 155 (F) of IEC 60085 (from memory); that hobby motors lie around it is common practice, no source';

/**
 * A sixth of a motor is winding, the rest iron and housing; heat resistances fall as its surface grows. Common practice,
 * no source.
 */
function heatOf(mass_kg: number, wider: number) {
  const surface = (0.5 / mass_kg) ** (2 / 3);
  return {
    windingHeatCapacity: classDefaultTimes('heat capacity', 65 * mass_kg, 0.5 / wider, 2 * wider),
    windingThermalResistance: classDefaultTimes('thermal resistance', 0.7 * surface, 0.4 / wider, 2.5 * wider),
    housingHeatCapacity: classDefaultTimes('heat capacity', 390 * mass_kg, 0.7 / wider, 1.3 * wider),
    housingThermalResistance: classDefaultTimes('thermal resistance', 3 * surface, 0.4 / wider, 2.5 * wider),
    windingLimit: classDefault('temperature', 155, 130, 180),
  };
}

/** A motor; in a power-up only what hangs on a controller. */
export const MOTOR = defineKind({
  kind: 'motor',
  letter: 'M',
  name: 'a motor',
  meaning: 'A motor.',
  terminals: [],
  symbol: 'motor',
  failureModes: ['open', 'short'],
  fields: {
    torqueConstant: { type: 'quantity', dimension: 'torque per current', above: 0, example: '0.025 Nm/A', meaning: 'Torque per ampere.' },
    speedConstant: { type: 'quantity', dimension: 'turns per volt', above: 0, example: '1100 rpm/V', meaning: 'Speed per volt; give this or the torque per ampere.' },
    resistance: { type: 'quantity', dimension: 'resistance', above: 0, example: '20 mΩ', meaning: 'Winding resistance between its leads.' },
    breakawayTorque: { type: 'quantity', dimension: 'torque', atLeast: 0, example: '0.05 N·m', meaning: 'Torque at the motor shaft at which it and its gear train begin to turn.' },
    frictionTorque: { type: 'quantity', dimension: 'torque', atLeast: 0, example: '0.025 N·m', meaning: 'Torque at the motor shaft that keeps it and its gear train turning.' },
    rotorInertia: { type: 'quantity', dimension: 'inertia', above: 0, example: '5e-5 kg·m²', meaning: 'Moment of inertia of its rotor alone.' },
    coastSpeed: { type: 'quantity', dimension: 'angular speed', above: 0, example: '9000 rpm', meaning: 'Highest speed of the motor at which it can still be turning when power goes off.' },
    drives: { type: 'text', meaning: 'What it moves.' },
    gearing: { type: 'quantity', dimension: 'ratio', above: 0, example: '14', meaning: 'Turns of the motor per turn of what it moves.' },
    noLoadCurrent: { type: 'quantity', dimension: 'current', atLeast: 0, match: true, example: '2 A', meaning: 'What it draws unloaded; its friction follows from it.' },
    inductance: { type: 'quantity', dimension: 'inductance', above: 0, match: true, example: '30 µH', meaning: 'Winding inductance between its leads.' },
    loadInertia: { type: 'quantity', dimension: 'inertia', above: 0, match: true, example: '4.05e-4 kg·m²', meaning: 'Moment of inertia of the weapon that it spins, about the weapon\'s own shaft.' },
    wheelDiameter: { type: 'quantity', dimension: 'length', above: 0, likely: [0.02, 1.5], match: true, example: '0.18 m', meaning: 'Diameter of the wheels (or track sprockets) that it turns.' },
    weightShare: { type: 'quantity', dimension: 'ratio', above: 0, atMost: 1, match: true, example: '50 %', meaning: 'Share of the machine\'s weight and mass that its wheels carry and move; equal shares when left out.' },
    grip: { type: 'quantity', dimension: 'ratio', above: 0, atMost: 3, match: true, example: '0.8', meaning: 'Traction of its wheels over the weight on them.' },
    rollingResistance: { type: 'quantity', dimension: 'ratio', atLeast: 0, atMost: 1, match: true, example: '3 %', meaning: 'Rolling resistance over the weight on its wheels.' },
    gearEfficiency: { type: 'quantity', dimension: 'ratio', above: 0.05, atMost: 1, match: true, example: '85 %', meaning: 'Share of the power that its gearing passes on.' },
    liftedMass: { type: 'quantity', dimension: 'mass', above: 0, match: true, example: '14 kg', meaning: 'Mass that it lifts and lowers.' },
    liftRadius: { type: 'quantity', dimension: 'length', above: 0, match: true, example: '0.25 m', meaning: 'Lever or drum radius, behind its gearing, on which that mass hangs.' },
    windingHeatCapacity: { type: 'quantity', dimension: 'heat capacity', above: 0, match: true, example: '40 J/K', meaning: 'Heat that warms its winding by one kelvin.' },
    windingThermalResistance: { type: 'quantity', dimension: 'thermal resistance', above: 0, match: true, example: '0.7 K/W', meaning: 'Rise of its winding over its housing for each watt.' },
    housingHeatCapacity: { type: 'quantity', dimension: 'heat capacity', above: 0, match: true, example: '200 J/K', meaning: 'Heat that warms its housing by one kelvin.' },
    housingThermalResistance: { type: 'quantity', dimension: 'thermal resistance', above: 0, match: true, example: '3 K/W', meaning: 'Rise of its housing over the air inside the machine for each watt.' },
    windingLimit: { type: 'quantity', dimension: 'temperature', atLeast: 40, atMost: 400, match: true, example: '155 °C', meaning: 'Temperature that its winding bears.' },
    mass: { type: 'quantity', dimension: 'mass', above: 0, example: '0.8 kg', meaning: 'Mass; what it takes to turn it follows from it where it is not given.' },
  },
  defaults: (given) => {
    const mass_kg = given.mass?.value ?? USUAL_KG;
    const wider = given.mass === undefined ? UNKNOWN_SIZE : 1;
    // Unloaded, all of a motor's torque goes into its friction.
    const perAmpere = given.torqueConstant?.value ?? (given.speedConstant === undefined ? undefined : 1 / given.speedConstant.value);
    const unloaded_Nm = given.noLoadCurrent === undefined || perAmpere === undefined ? undefined : given.noLoadCurrent.value * perAmpere;
    const friction_Nm = given.frictionTorque?.value ?? unloaded_Nm ?? FRICTION_NM_PER_KG * mass_kg;
    const known = given.frictionTorque === undefined && unloaded_Nm === undefined ? wider : 1;
    return {
      frictionTorque: classDefaultTimes('torque', FRICTION_NM_PER_KG * mass_kg, 0.3 / wider, 3 * wider),
      breakawayTorque: classDefaultTimes('torque', BREAKAWAY_OVER_FRICTION * friction_Nm, 0.4 / known, 3 * known),
      rotorInertia: classDefaultTimes('inertia', ROTOR_KGM2_AT_1_KG * mass_kg ** (5 / 3), 0.3 / wider, 3 * wider),
      inductance: classDefaultTimes('inductance', WINDING_S * (given.resistance?.value ?? 0.1), 0.3, 3),
      grip: classDefault('ratio', 0.8, 0.5, 1.1),
      rollingResistance: classDefault('ratio', 0.03, 0.015, 0.08),
      gearEfficiency: classDefault('ratio', given.gearing === undefined ? 0.97 : 0.85, 0.7, given.gearing === undefined ? 1 : 0.95),
      ...heatOf(mass_kg, wider),
    };
  },
  sources: {
    inductance: COMMON_PRACTICE, grip: COMMON_PRACTICE, rollingResistance: COMMON_PRACTICE, gearEfficiency: COMMON_PRACTICE, windingHeatCapacity: COMMON_PRACTICE,
    windingThermalResistance: COMMON_PRACTICE, housingHeatCapacity: COMMON_PRACTICE, housingThermalResistance: COMMON_PRACTICE, windingLimit: WINDING_LIMIT_SOURCE,
    frictionTorque: COMMON_PRACTICE, breakawayTorque: COMMON_PRACTICE, rotorInertia: COMMON_PRACTICE },
});

export type Motor = PartOf<'motor', typeof MOTOR.fields>;
