import { COPPER, FINE_STRAND_LAY } from './conductors.ts';
import { strandedDiameter_m } from './cooling.ts';
import { requireNotNegative, requirePositive } from './domain.ts';
import { JACKET_RATIO } from './inductance.ts';

/** Density of silicone and soft PVC jackets, kg/m³: 1150 to 1350 in handbooks, from memory. */
const JACKET_KG_M3 = 1200;

/** Copper of one conductor, kg: its metal, and the 2 % that fine strands spiral. */
export function copperMass_kg(section_m2: number, length_m: number): number {
  requirePositive(section_m2, 'section_m2', 'm²');
  requireNotNegative(length_m, 'length_m', 'm');
  return section_m2 * length_m * COPPER.density_kg_m3 * (1 + FINE_STRAND_LAY);
}

/** Jacket of one conductor, kg: the ring between its strands and the outside diameter of soft jacketed wire. */
export function jacketMass_kg(section_m2: number, length_m: number): number {
  requirePositive(section_m2, 'section_m2', 'm²');
  requireNotNegative(length_m, 'length_m', 'm');
  const inner = strandedDiameter_m(section_m2);
  const outer = JACKET_RATIO * Math.sqrt((4 * section_m2) / Math.PI);
  return (Math.PI / 4) * (outer * outer - inner * inner) * length_m * JACKET_KG_M3;
}
