/**
 * A machine of many like branches as a builder would write it: one pack, an isolator and a controller a branch, services
 * on the first. Invented; used where the size of the work is what is tested.
 */
export function branchesFile(branches: number, own: { readonly softStart?: 'shared' | 'shared with diodes'; readonly fused?: boolean } = {}): string {
  const each = Array.from({ length: branches }, (_, k) => k + 1);
  const soft = own.softStart !== undefined;
  const parts = [
    '  G1: { kind: pack, chemistry: lipo, cells: 10, capacity: 8 Ah }',
    '  F1: { kind: fuse, rating: 200 A }',
    '  X1: { kind: joint }',
    ...each.flatMap((k) => [
      `  Q${k}: { kind: isolator }`,
      `  J${k}: { kind: joint }`,
      ...(own.fused === true ? [`  F${k + 1}: { kind: fuse, rating: 80 A }`] : []),
      `  T${k}: { kind: controller, motor current: 120 A, drives: M${k} }`,
      `  M${k}: { kind: motor, torque constant: 0.025 Nm/A, resistance: 20 mΩ }`,
      `  P${k}: { kind: lamp, resistance: 8.2 kΩ }`,
      `  R${k}: { kind: bleed, resistance: 10 kΩ }`,
      ...(own.softStart === 'shared with diodes' ? [`  D${k}: { kind: diode, rating: 3 A }`] : []),
    ]),
    '  T90: { kind: converter, output: 6 V, running: 5 W }',
    '  K1: { kind: receiver }',
    ...(soft ? ['  R90: { kind: resistor, resistance: 33 Ω, power: 10 W }', '  S1: { kind: button }'] : []),
  ];
  const wiring = [
    '  pack: from G1+, 8 AWG 0.15 m, X1, F1, to bar',
    ...each.flatMap((k) => [
      `  branch ${k}: from bar, Q${k}, ${own.fused === true ? `F${k + 1}, ` : ''}J${k}, 8 AWG 0.50 m, to T${k}`,
      `  lamp ${k}: from T${k}, to P${k}`,
      `  bleed ${k}: from T${k}, to R${k}`,
      ...(soft ? [`  soft ${k}: from soft, ${own.softStart === 'shared with diodes' ? `D${k}, ` : ''}18 AWG 0.30 m, to T${k}`] : []),
    ]),
    '  services: from T1, 18 AWG 0.40 m, to T90',
    '  radio: from T90 out, to K1',
    ...(soft ? ['  soft start: from bar, R90, S1, to soft'] : []),
  ];
  return ['ampwright: 1', `machine: BRANCHES${branches}`, 'parts:', ...parts, 'wiring:', ...wiring, 'returns: all negatives on one bar', 'procedure:', ...each.map((k) => `  - close Q${k}`), ''].join('\n');
}
