import { addConduction, addFreeAir, addHeatNode, heat, type HeatNode } from '../../engine/devices/thermal.ts';
import type { WarmLaw } from '../../engine/devices/wire.ts';
import type { Expr } from '../../engine/expression.ts';
import { conductorResistance_ohm, COPPER, FINE_STRAND_LAY } from '../../physics/conductors.ts';
import { filmLaw_W_m2K125, JACKET_EMISSIVITY, STEFAN_BOLTZMANN, strandedDiameter_m } from '../../physics/cooling.ts';
import type { Binder, FromValues } from '../circuit/binder.ts';
import type { Insulation } from '../machine.ts';
import type { HeatRecord } from './record.ts';
import type { Piece } from './feeding.ts';

/** A lump of heat, with what its record needs. */
export interface Lump {
  readonly where: string;
  readonly name: string;
  readonly sort: HeatRecord['sort'];
  readonly node: HeatNode;
  /** Watch of its temperature, °C. */
  readonly watch: number;
  readonly limit: FromValues | undefined;
  readonly capacity: FromValues;
  /** To the surroundings, W/K, at a temperature of its own and that of the air, °C. */
  readonly conductance: (values: Float64Array, at_C: number, air_C: number) => number;
  /** Where its current is followed: a strand or a motor. */
  readonly carries: string | undefined;
}

/** Gathers the heat of a machine. */
export class Warmth {
  readonly lumps: Lump[] = [];
  /** Unknowns of temperatures that start at that of the air inside. */
  readonly fromAir: number[] = [];

  constructor(
    readonly binder: Binder,
    readonly air: HeatNode,
  ) {}

  /** A lump that loses heat to the air through one thermal resistance, K/W. */
  part(where: string, name: string, sort: Lump['sort'], values: { readonly capacity: FromValues; readonly rise: FromValues; readonly limit: FromValues | undefined; readonly start?: FromValues }, carries?: string): HeatNode {
    const { binder } = this;
    const node = this.lump(where, values.capacity, values.start);
    const conductance: FromValues = (v) => 1 / values.rise(v);
    binder.bind(addConduction(binder.system, `${where} to air`, node, this.air, binder.nominally(conductance)), conductance);
    this.keep({ where, name, sort, node, limit: values.limit, capacity: values.capacity, conductance: (v) => conductance(v), carries });
    return node;
  }

  /** A winding in its housing. */
  winding(where: string, name: string, values: Readonly<Record<'winding' | 'rise' | 'housing' | 'housingRise' | 'limit', FromValues>>, carries: string): HeatNode {
    const { binder } = this;
    const node = this.lump(`${where} winding`, values.winding);
    const housing = this.lump(`${where} housing`, values.housing);
    const inner: FromValues = (v) => 1 / values.rise(v);
    const outer: FromValues = (v) => 1 / values.housingRise(v);
    binder.bind(addConduction(binder.system, `${where} winding to housing`, node, housing, binder.nominally(inner)), inner);
    binder.bind(addConduction(binder.system, `${where} housing to air`, housing, this.air, binder.nominally(outer)), outer);
    // Between matches the housing decides how fast the whole of it cools.
    this.keep({ where, name, sort: 'winding', node, limit: values.limit, capacity: (v) => values.winding(v) + values.housing(v), conductance: (v) => 1 / (values.rise(v) + values.housingRise(v)), carries });
    return node;
  }

  /** A cable, with the return lead beside it when that counts with it: copper and jacket, cooled by still air. */
  cable(piece: Extract<Piece, { sort: 'cable' }>, carries: string): { readonly law: WarmLaw; readonly bindLaw: (resistance: number) => void; readonly node: HeatNode } {
    const { binder } = this;
    const section = binder.value(`${piece.key}.section`);
    const length = binder.value(`${piece.key}.length`);
    const air_C = binder.value('surroundings.inside');
    const cooling = binder.value('cables.cooling');
    const resistance: FromValues = (v) => piece.leads * conductorResistance_ohm(section(v), length(v), REFERENCE_C, undefined, 'fine');
    const capacity: FromValues = (v) => piece.leads * length(v) * heatPerMetre_J_K(section(v));
    const crowded = piece.conductor.bundled ? BUNDLED : 1;
    const surface: FromValues = (v) => piece.leads * length(v) * Math.PI * outerDiameter_m(section(v)) * cooling(v) * crowded;
    const film: FromValues = (v) => filmLaw_W_m2K125(outerDiameter_m(section(v)), FILM_RISE_K, air_C(v));
    const node = this.lump(piece.where, capacity);
    const handle = addFreeAir(binder.system, `${piece.where} to air`, node, this.air, { surface_m2: binder.nominally(surface), film_W_m2K125: binder.nominally(film), emissivity: JACKET_EMISSIVITY });
    binder.bind(handle.surface, surface);
    binder.bind(handle.film, film);
    this.keep({
      where: piece.where, name: piece.name, sort: 'cable', node, capacity, carries, limit: () => INSULATION_LIMIT_C[piece.conductor.insulation],
      conductance: (v, at, air) => surface(v) * freeAir_W_m2K(film(v), at, air),
    });
    return {
      law: { resistance_ohm: binder.nominally(resistance), reference_C: REFERENCE_C, coefficient_per_K: COPPER.temperatureCoefficient_per_K },
      bindLaw: (parameter) => {
        binder.bind(parameter, resistance);
      },
      node,
    };
  }

  /** Temperature in the long run of a cable that carries a small steady current, °C: nothing in a match follows it. */
  quietCable(piece: Extract<Piece, { sort: 'cable' }>): { readonly settled_C: (values: Float64Array, current_A: number) => number; readonly capacity: FromValues; readonly conductance: (values: Float64Array, at_C: number) => number; readonly limit_C: number } {
    const { binder } = this;
    const section = binder.value(`${piece.key}.section`);
    const air_C = binder.value('surroundings.inside');
    const cooling = binder.value('cables.cooling');
    const length = binder.value(`${piece.key}.length`);
    const perMetre = (v: Float64Array, at_C: number): number => Math.PI * outerDiameter_m(section(v)) * cooling(v) * freeAir_W_m2K(filmLaw_W_m2K125(outerDiameter_m(section(v)), FILM_RISE_K, air_C(v)), at_C, air_C(v));
    const settled_C = (v: Float64Array, current_A: number): number => {
      let at = air_C(v) + 1;
      for (let pass = 0; pass < SETTLING; pass++) at = Math.min(air_C(v) + (current_A * current_A * conductorResistance_ohm(section(v), 1, Math.min(at, HOTTEST_C), undefined, 'fine')) / perMetre(v, at), HOTTEST_C);
      return at;
    };
    return { settled_C, capacity: (v) => piece.leads * length(v) * heatPerMetre_J_K(section(v)), conductance: (v, at) => piece.leads * length(v) * perMetre(v, at), limit_C: INSULATION_LIMIT_C[piece.conductor.insulation] };
  }

  heat(node: HeatNode, power: Expr): void {
    heat(this.binder.system, node, power);
  }

  private lump(name: string, capacity: FromValues, start?: FromValues): HeatNode {
    const { binder } = this;
    const initial = start ?? binder.value('surroundings.inside');
    const node = addHeatNode(binder.system, name, binder.nominally(capacity), binder.nominally(initial));
    binder.bind(node.parameter, capacity);
    if (start === undefined) this.fromAir.push(node.unknown);
    return node;
  }

  private keep(lump: Omit<Lump, 'watch'>): void {
    this.lumps.push({ ...lump, watch: this.binder.system.watch(`${lump.where} temperature`, lump.node.temperature) });
  }
}

/**
 * What insulation bears for long, °C: PVC 70 and XLPE 90 as in IEC 60364-5-52, silicone 180 and PTFE 200 as cable makers
 * state them (from memory).
 */
export const INSULATION_LIMIT_C: Readonly<Record<Insulation, number>> = { silicone: 180, pvc: 70, xlpe: 90, ptfe: 200 };

/** Diameter over a flexible hobby cable's jacket, m: its wall is about a third of its strands' diameter. Common practice, no source. */
export function outerDiameter_m(section_m2: number): number {
  const strands = strandedDiameter_m(section_m2);
  return 1.7 * strands + 0.4e-3;
}

/** Heat of a metre of cable, J/(m·K): copper, and the part of its jacket that follows (colder outside). */
export function heatPerMetre_J_K(section_m2: number): number {
  const copper = section_m2 * (1 + FINE_STRAND_LAY) * COPPER.density_kg_m3 * COPPER.specificHeat_J_kgK;
  const jacket = (Math.PI / 4) * (outerDiameter_m(section_m2) ** 2 - strandedDiameter_m(section_m2) ** 2);
  return copper + JACKET_SHARE * JACKET_J_M3K * jacket;
}

function freeAir_W_m2K(film: number, at_C: number, air_C: number): number {
  const rise = Math.max(Math.abs(at_C - air_C), 0.5);
  const mean_K = (at_C + air_C) / 2 + 273.15;
  return film * rise ** 0.25 + 4 * JACKET_EMISSIVITY * STEFAN_BOLTZMANN * mean_K ** 3;
}

const REFERENCE_C = 20;
/** Rise for which the film coefficient is right; half and double of it are within 10 %. */
const FILM_RISE_K = 60;
/** Silicone and PVC jackets: 1.3 g/cm³ times 1.5 J/(g·K); handbook values, from memory. */
const JACKET_J_M3K = 1.95e6;
const JACKET_SHARE = 0.6;
/** A cable among others loses heat over about half of its surface. Common practice, no source. */
const BUNDLED = 0.5;
const SETTLING = 25;
const HOTTEST_C = 600;
