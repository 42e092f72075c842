import type { Typed } from './facts.ts';

/** A kind of machine with what such a one usually has. Sizes: common practice, no source; each is only a first answer. */
export interface Preset {
  readonly id: string;
  readonly name: string;
  readonly about: string;
  readonly usual: Omit<Typed, 'name'>;
}

const COMMON = { chemistry: 'lipo', softStart: 'suggest', fuse: '', radioSupply: 'converter' } as const;

export const PRESETS: readonly Preset[] = [
  {
    id: 'small', name: 'A small spinner', about: 'up to 3 kg, one switch',
    usual: { ...COMMON, cells: '3', capacity: '850 mAh', drives: '2', rating: '10 A', hasWeapon: true, weapon: '35 A', isolators: 'main', radioSupply: 'controller' },
  },
  {
    id: 'lifter', name: 'A lifter or flipper', about: '13 to 30 kg, removable links',
    usual: { ...COMMON, cells: '6', capacity: '3.3 Ah', drives: '2', rating: '60 A', hasWeapon: true, weapon: '60 A', isolators: 'links' },
  },
  {
    id: 'spinner', name: 'A spinner', about: '13 to 110 kg, drive and weapon apart',
    usual: { ...COMMON, cells: '8', capacity: '5 Ah', drives: '2', rating: '80 A', hasWeapon: true, weapon: '150 A', isolators: 'branch' },
  },
  {
    id: 'crusher', name: 'A gripper or crusher', about: '30 to 110 kg, an arm that pushes hard',
    usual: { ...COMMON, cells: '10', capacity: '8 Ah', drives: '2', rating: '120 A', hasWeapon: true, weapon: '150 A', isolators: 'branch' },
  },
  {
    id: 'pusher', name: 'A pusher', about: 'drive alone, no weapon',
    usual: { ...COMMON, cells: '6', capacity: '5 Ah', drives: '2', rating: '80 A', hasWeapon: false, weapon: '60 A', isolators: 'main' },
  },
  {
    id: 'tracks', name: 'A carrier on tracks', about: 'long runs, a winch or arm',
    usual: { ...COMMON, cells: '14', chemistry: 'nmc', capacity: '15 Ah', drives: '2', rating: '80 A', hasWeapon: true, weapon: '40 A', isolators: 'main' },
  },
];

export const CELLS = ['3S', '4S', '6S', '8S', '10S', '12S', '14S'] as const;
export const DRIVES = ['1', '2', '4'] as const;
export const RATINGS = ['10 A', '20 A', '40 A', '60 A', '80 A', '120 A', '160 A'] as const;
export const WEAPONS = ['35 A', '60 A', '80 A', '120 A', '150 A', '200 A'] as const;

/** Sizes that are sold for packs with so many cells. */
export function capacities(cells: number): readonly string[] {
  if (cells <= 4) return ['450 mAh', '850 mAh', '1.3 Ah', '2.2 Ah'];
  return cells <= 8 ? ['2.2 Ah', '3.3 Ah', '5 Ah', '8 Ah'] : ['5 Ah', '8 Ah', '10 Ah', '16 Ah'];
}
