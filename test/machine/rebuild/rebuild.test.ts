import { describe, expect, it } from 'vitest';
import { demoText, difference, machineOf, made, refused } from './demos.ts';

const CRUSH = demoText('crush10s');
const BAR = demoText('bar3s');
const LIFT = demoText('lift6s');
const KART = demoText('kart16s');
const TRK = demoText('trk14s');

const fuse = { kind: 'fuse', values: { rating: '80 A' } };
const supply = (name: string, at: number) => ({ role: 'supply', name, at }) as const;

describe('putting a part into a lead', () => {
  it('writes the part beside its neighbour and its id into the chain, and nothing else', () => {
    const { text, part } = made(CRUSH, { rebuild: 'put in', into: supply('arm', 0), part: fuse });
    expect(part).toBe('F2');
    expect(difference(CRUSH, text)).toEqual([
      '+F2: { kind: fuse, rating: 80 A }',
      '-arm: from bar, Q2, 10 AWG 0.60 m, to T4', '+arm: from bar, F2, Q2, 10 AWG 0.60 m, to T4',
    ]);
    expect(text.indexOf('F2: {')).toBeLessThan(text.indexOf('R1: {'));
  });

  it('puts it behind the conductor where that is asked for, at the end of a chain too', () => {
    expect(made(CRUSH, { rebuild: 'put in', into: supply('arm', 2), part: fuse }).text).toContain('  arm: from bar, Q2, 10 AWG 0.60 m, F2, to T4\n');
    expect(made(CRUSH, { rebuild: 'put in', into: supply('left', 0), part: fuse }).text).toContain('  left: from drive, F2, to T1\n');
  });

  it('goes on with the letters that the machine uses, and gives no number twice', () => {
    expect(made(CRUSH, { rebuild: 'put in', into: supply('arm', 0), part: { kind: 'link', values: {} } }).part).toBe('LK2');
    // Source: IEC 81346-2:2009, class Q, switching of a flow of energy (from memory): what the machine has no letters for gets those of its kind.
    expect(made(BAR, { rebuild: 'put in', into: supply('pack', 3), part: { kind: 'contactor', values: { rating: '60 A' } } }).part).toBe('K2');
    const without = made(CRUSH, { rebuild: 'take out', part: 'R1' }).text;
    expect(made(without, { rebuild: 'put in', into: supply('arm', 0), part: { kind: 'resistor', values: { resistance: '10 Ω' } } }).part).toBe('R3');
  });

  it('gives a switch its steps: closed before the others, opened after them', () => {
    const { text, also } = made(CRUSH, { rebuild: 'put in', into: supply('pack', 2), part: { kind: 'isolator', values: {} } });
    const { powerUp, powerDown } = machineOf(text);
    expect(powerUp.map((step) => step.text).slice(0, 3)).toEqual(['transmitter on', 'close Q3', 'insert LK1']);
    expect(powerDown.map((step) => step.text).slice(2, 4)).toEqual(['remove LK1', 'open Q3']);
    expect(also).toHaveLength(2);
  });

  it('marks an isolator in the negative as one', () => {
    expect(made(LIFT, { rebuild: 'put in', into: { role: 'return', name: 'lifter', at: 0 }, part: { kind: 'isolator', values: {} } }).text).toContain('Q1: { kind: isolator, opens return: true }');
  });

  it('quotes a value that braces would tear apart', () => {
    expect(made(CRUSH, { rebuild: 'put in', into: supply('arm', 0), part: { kind: 'joint', values: { retention: 'glue, heat-shrink' } } }).text).toContain('retention: "glue, heat-shrink" }');
  });

  it('says what is wrong with a value, and what is missing', () => {
    expect(refused(CRUSH, { rebuild: 'put in', into: supply('arm', 0), part: { kind: 'fuse', values: { rating: '80 V' } } })).toMatch(/^F2, rating: expected a current/);
    expect(refused(CRUSH, { rebuild: 'put in', into: supply('arm', 0), part: { kind: 'fuse', values: {} } })).toBe('a fuse needs its rating. Write it in.');
    expect(refused(CRUSH, { rebuild: 'put in', into: supply('arm', 0), part: { kind: 'lamp', values: { resistance: '1 kΩ' } } })).toMatch(/Connect it to a point/);
    expect(refused(CRUSH, { rebuild: 'put in', into: supply('leg', 0), part: fuse })).toMatch(/no chain "leg"/);
  });
});

describe('a soft start', () => {
  const resistor = { kind: 'resistor', values: { resistance: '10 Ω' } };

  it('becomes a position of an isolator, with the steps that turn to it', () => {
    const { text, also } = made(BAR, { rebuild: 'soft start', part: 'Q1', resistor });
    expect(difference(BAR, text)).toEqual([
      '-positions: { OFF: open, ON: direct }', '+positions: { OFF: open, CHARGE: through R1, ON: direct }', '+R1: { kind: resistor, resistance: 10 Ω }',
      '-- close Q1', '+- turn Q1 to CHARGE', '+- wait 2 s', '+- turn Q1 to ON',
    ]);
    expect(also).toHaveLength(2);
    expect(refused(CRUSH, { rebuild: 'soft start', part: 'Q1', resistor })).toMatch(/Change that resistor instead/);
  });

  it('becomes a lead with a button around a link', () => {
    const { text } = made(LIFT, { rebuild: 'soft start', part: 'LK2', resistor });
    expect(difference(LIFT, text)).toEqual([
      '+R3: { kind: resistor, resistance: 10 Ω }', '+S2: { kind: button, about: soft-start button }',
      '-lifter: from bus, LK2, D1, 12 AWG 0.25 m, to T3', '+lifter: from bus, LK2, to behind LK2', '+soft start 2: from bus, R3, S2, to behind LK2', '+lifter onwards: from behind LK2, D1, 12 AWG 0.25 m, to T3',
      '+- press S2', '+- wait 2 s', '+- release S2',
    ]);
    expect(machineOf(text).powerUp.map((step) => step.text).slice(1, 5)).toEqual(['press S2', 'wait 2 s', 'insert LK2', 'release S2']);
    expect(made(LIFT, { rebuild: 'soft start', part: 'X1', resistor }).text).toContain('  main: from G1+, 12 AWG 120 mm, to before X1\n  main at X1: from before X1, X1, to behind X1\n  soft start 2: from before X1, R3, S2, to behind X1\n  main onwards: from behind X1, F1, to feed\n');
  });

  it('becomes the relay of a contactor, and a lead around a key in the negative', () => {
    const without = made(KART, { rebuild: 'take out', part: 'R1' }).text;
    expect(made(without, { rebuild: 'soft start', part: 'K1', resistor }).text).toMatch(/soft start: R3\n {4}timer: 2 s \(assumed\)\n/);
    const bare = made(TRK, { rebuild: 'disconnect', chain: { role: 'return', name: 'soft start' } }).text;
    expect(made(bare, { rebuild: 'soft start', part: 'Q1', resistor }).text).toContain('  key: from negatives, Q1, to battery negative\n  soft start: from negatives, R3, S1, to battery negative\n');
  });
});

describe('taking a part out', () => {
  it('joins its leads, and undoes putting it in to the byte', () => {
    const { text, part } = made(CRUSH, { rebuild: 'put in', into: supply('pack', 2), part: { kind: 'isolator', values: {} } });
    expect(made(text, { rebuild: 'take out', part: part! }).text).toBe(CRUSH);
  });

  it('takes the steps, the waiting and the resistor of an isolator along', () => {
    const { text, also } = made(CRUSH, { rebuild: 'take out', part: 'Q2' });
    expect(difference(CRUSH, text).filter((line) => line.startsWith('-')).map((line) => line.slice(1, 30))).toEqual([
      'Q2:', 'kind: isolator', 'about: arm isolator', 'closed resistance: 0.5 mΩ', 'positions: { OFF: open, CHARG', 'changeover: gap', 'gap: 20 ms (10 to 40)', 'access: reachable from outsid',
      'R2: { kind: resistor, about: ', 'arm: from bar, Q2, 10 AWG 0.6', '- turn Q2 to CHARGE', '- wait 2 s', '- turn Q2 to ON', '- turn Q2 to OFF',
    ]);
    expect(also).toContain('R2 goes with it.');
  });

  it('takes the position of a soft-start resistor along, with the step that turns to it', () => {
    const { text } = made(CRUSH, { rebuild: 'take out', part: 'R1' });
    expect(difference(CRUSH, text)).toEqual([
      '-positions: { OFF: open, CHARGE: through R1, ON: direct }', '+positions: { OFF: open, ON: direct }',
      '-R1: { kind: resistor, about: soft start of the drive, resistance: 100 Ω, power: 10 W, construction: cement wirewound }',
      '-- turn Q1 to CHARGE', '-- wait 2 s # "count two"',
    ]);
  });

  it('takes a controller with its motor, its signal ground and its share of the duty, and leaves what met at it meeting', () => {
    const { text } = made(CRUSH, { rebuild: 'take out', part: 'T4' });
    const { parts, wiring, duty } = machineOf(text);
    expect([parts.has('T4'), parts.has('M3')]).toEqual([false, false]);
    expect(wiring.chains.filter(({ role }) => role === 'signal ground').map(({ name }) => name)).toEqual(['left', 'right']);
    expect(text).toContain('  arm: from bar, Q2, 10 AWG 0.60 m, to where T4 was\n  arm lamp: from where T4 was, to P2\n');
    expect(duty.events.flatMap((event) => event.with)).not.toContain('M3');
  });

  it('takes the fields along that name it', () => {
    const { text } = made(KART, { rebuild: 'take out', part: 'S1' });
    expect(difference(KART, text)).toEqual(['-coil switch: S1', '-S1: { kind: isolator, about: key and emergency stop }', '-key switch: S1', '-- close S1', '-power down:', '-- open S1']);
    expect(made(KART, { rebuild: 'take out', part: 'R1' }).also[0]).toBe('K1 loses its "soft start", "timer", "threshold".');
  });

  it('takes one of two packs with its lead, its fuse and its negative', () => {
    const { parts } = machineOf(made(TRK, { rebuild: 'take out', part: 'G2' }).text);
    expect(['G2', 'X2', 'F2', 'F4', 'G1', 'X1', 'F1', 'F3'].map((id) => parts.has(id))).toEqual([false, false, false, false, true, true, true, true]);
  });

  it.each([
    [CRUSH, 'G1', 'A machine needs a pack, and this is its last one.'],
    [CRUSH, 'T3', 'T3 feeds T5 and T6. Take out what it feeds first, or disconnect "logic" and "servo supply".'],
    [LIFT, 'T1', 'The negative of T3 runs to T1-. Disconnect "lifter" of the negatives first, or lead it elsewhere in the file.'],
    [LIFT, 'LK1', 'Without LK1, "link" would be a plain wire around R1 and S1. Disconnect "link" instead.'],
  ])('refuses in plain words where something else needs it (%#)', (text, part, why) => {
    expect(refused(text, { rebuild: 'take out', part })).toBe(why);
  });
});

describe('disconnecting', () => {
  it('takes a chain with what stands in it', () => {
    const { text } = made(LIFT, { rebuild: 'disconnect', chain: { role: 'supply', name: 'soft start' } });
    const { parts, powerUp } = machineOf(text);
    expect([parts.has('R1'), parts.has('S1')]).toEqual([false, false]);
    expect(powerUp.map((step) => step.text)).toEqual(['transmitter on', 'insert LK2', 'insert LK1', 'leave']);
  });

  it('takes the whole section of signal grounds where none is left', () => {
    const one = made(CRUSH, { rebuild: 'disconnect', chain: { role: 'signal ground', name: 'left' } }).text;
    const two = made(one, { rebuild: 'disconnect', chain: { role: 'signal ground', name: 'right' } }).text;
    const none = made(two, { rebuild: 'disconnect', chain: { role: 'signal ground', name: 'arm' } }).text;
    expect(none).not.toContain('signal grounds:\n');
    // What is said above the section is the builder's.
    expect(none).toContain("# The controllers' signal grounds join at the receiver.");
  });

  it('refuses to leave something without a feed, and names all of it', () => {
    expect(refused(CRUSH, { rebuild: 'disconnect', chain: { role: 'supply', name: 'services' } })).toBe('Nothing would feed T3, T5, K1, T6 and M4 any more. Take them out, or connect them to something else first.');
  });
});

describe('connecting', () => {
  it('hangs a new part on a place, with a lead', () => {
    const { text, part } = made(CRUSH, { rebuild: 'connect', role: 'supply', from: { end: { place: 'bar' } }, to: { kind: 'lamp', values: { resistance: '10 kΩ' } }, lead: '24 AWG 0.2 m' });
    expect(part).toBe('P3');
    expect(difference(CRUSH, text)).toEqual(['+P3: { kind: lamp, resistance: 10 kΩ }', '+indicator lamp: from bar, 24 AWG 0.2 m, to P3']);
  });

  it('parts a chain where the new lead goes off', () => {
    const { text, also } = made(CRUSH, { rebuild: 'connect', role: 'supply', from: { tap: supply('pack', 2) }, to: { kind: 'lamp', values: { resistance: '10 kΩ' } }, lead: '' });
    expect(difference(CRUSH, text)).toEqual([
      '+P3: { kind: lamp, resistance: 10 kΩ }',
      '-pack: from G1+, 8 AWG 0.15 m, X1, LK1, F1, to bar', '+pack: from G1+, 8 AWG 0.15 m, X1, to behind X1', '+pack onwards: from behind X1, LK1, F1, to bar',
      '+indicator lamp: from behind X1, to P3',
    ]);
    expect(also[0]).toBe('"pack" is parted at a place named "behind X1"; behind it, it is called "pack onwards".');
  });

  it('takes the end of a chain for what it is', () => {
    expect(made(CRUSH, { rebuild: 'connect', role: 'supply', from: { tap: supply('arm', 2) }, to: { kind: 'lamp', values: { resistance: '10 kΩ' } }, lead: '' }).text).toContain('  indicator lamp: from T4, to P3\n');
  });

  it('joins two points that there are, and warns of a way around a switch', () => {
    const { text, also } = made(CRUSH, { rebuild: 'connect', role: 'supply', from: { end: { place: 'bar' } }, to: { end: { place: 'drive' } }, lead: '8 AWG 0.5 m' });
    expect(text).toContain('  bar to drive: from bar, 8 AWG 0.5 m, to drive\n');
    expect(also).toEqual(['The new lead goes around Q1. Put a part into it where that is not meant.']);
  });

  it('makes the one line of the bar the first of several when a negative gets a lead of its own', () => {
    const { text } = made(CRUSH, { rebuild: 'connect', role: 'return', from: { end: { part: 'T4', terminal: '-' } }, to: { end: { part: 'T1', terminal: '-' } }, lead: '10 AWG 0.6 m' });
    expect(difference(CRUSH, text)).toEqual(['-returns: all negatives on one bar, 0.2 mΩ a joint', '+returns: { general: "all negatives on one bar, 0.2 mΩ a joint", "T4- to T1-": "from T4-, 10 AWG 0.6 m, to T1-" }']);
    expect(made(text, { rebuild: 'disconnect', chain: { role: 'return', name: 'T4- to T1-' } }).ok).toBe(true);
    expect(made(LIFT, { rebuild: 'connect', role: 'return', from: { end: { part: 'T2', terminal: '-' } }, to: { end: { part: 'T1', terminal: '-' } }, lead: '' }).text).toContain('  lifter: from T3-, 12 AWG 0.25 m, to T1-\n  T2- to T1-: from T2-, to T1-\n');
  });

  it('starts the section of signal grounds where there is none', () => {
    expect(machineOf(made(BAR, { rebuild: 'connect', role: 'signal ground', from: { end: { part: 'T1', terminal: '-' } }, to: { end: { part: 'K1', terminal: '-' } }, lead: '26 AWG 0.1 m' }).text).wiring.chains.filter(({ role }) => role === 'signal ground')).toHaveLength(1);
  });

  it('hangs a motor on a controller, which has room for two', () => {
    const second = made(CRUSH, { rebuild: 'drive', controller: 'T1', motor: { kind: 'motor', values: {} } });
    expect(difference(CRUSH, second.text)).toEqual(['+also drives: M5', '+M5: { kind: motor }']);
    expect(refused(second.text, { rebuild: 'drive', controller: 'T1', motor: 'M3' })).toMatch(/^T1 already drives M1 and M/);
    expect(refused(CRUSH, { rebuild: 'drive', controller: 'T1', motor: 'M3' })).toBe('M3 already hangs on T4. Take it off there first.');
  });

  it.each([
    [{ end: { place: 'bar' } }, { end: { place: 'bar' } }, 'Both ends are bar. Choose two different ones.'],
    [{ end: { place: 'bar' } }, { end: { part: 'G1', terminal: '-' } }, 'bar and G1- lie on different sides: that would be a short. A negative is joined to another negative.'],
    [{ end: { place: 'bar' } }, { kind: 'fuse', values: { rating: '10 A' } }, 'a fuse cannot stand at the end of such a lead. Put it into a lead instead.'],
    [{ end: { place: 'bar' } }, { kind: 'lamp', values: {} }, 'an indicator lamp needs its resistance. Write it in.'],
  ] as const)('refuses what makes no sense (%#)', (from, to, why) => {
    expect(refused(CRUSH, { rebuild: 'connect', role: 'supply', from, to, lead: '' })).toBe(why);
  });
});

describe('duplicating a branch', () => {
  it('copies switch, resistor, controller, motor, lamp, wires, steps and duty, each behind its original', () => {
    const { text, part } = made(CRUSH, { rebuild: 'duplicate', chain: 'arm' });
    expect(part).toBe('Q3');
    const lines = difference(CRUSH, text);
    expect(lines.filter((line) => line.startsWith('-')).every((line) => line.includes('do: '))).toBe(true);
    for (const line of [
      '+Q3:', '+about: arm isolator 2', '+positions: { OFF: open, CHARGE: through R3, ON: direct }', '+R3: { kind: resistor, about: soft start of the arm 2, resistance: 100 Ω, power: 10 W, construction: cement wirewound }',
      '+T7:', '+drives: M5', '+M5:', '+P3: { kind: lamp, about: arm is live 2, resistance: 8.2 kΩ }',
      '+arm 2: from bar, Q3, 10 AWG 0.60 m, to T7', '+arm lamp 2: from T7, to P3', '+arm 3: from T7-, 24 AWG 0.40 m, to K1-',
      '+- turn Q3 to CHARGE', '+- wait 2 s', '+- turn Q3 to ON', '+- turn Q3 to OFF',
    ]) expect(lines).toContain(line);
    const { powerUp, powerDown, duty } = machineOf(text);
    expect(powerUp.map((step) => step.text).slice(7, 11)).toEqual(['turn Q2 to ON', 'turn Q3 to CHARGE', 'wait 2 s', 'turn Q3 to ON']);
    expect(powerDown.map((step) => step.text).slice(0, 2)).toEqual(['turn Q2 to OFF', 'turn Q3 to OFF']);
    expect(duty.events.filter(({ with: who }) => who.includes('M3')).map((event) => event.with)).toEqual([['M3', 'M5'], ['M3', 'M5']]);
  });

  it('keeps the comments inside a part, and shares what other branches feed too', () => {
    const services = made(CRUSH, { rebuild: 'duplicate', chain: 'services' }).text;
    expect(services.match(/running: 7 W # radio, lock servo at rest, fan/g)).toHaveLength(2);
    // The receiver's rail is fed from both controllers: the copy feeds it as well.
    const weapon = made(BAR, { rebuild: 'duplicate', chain: 'weapon' }).text;
    expect(weapon).toContain('  red wire of the weapon 2: from T6 out, 26 AWG 0.12 m, to rail\n');
    expect(machineOf(weapon).parts.has('K2')).toBe(false);
  });

  it('takes what lies beside a switch along', () => {
    const { text } = made(LIFT, { rebuild: 'duplicate', chain: 'link' });
    expect(text).toContain('  link 2: from feed, LK3, to bus 2\n');
    expect(text).toContain('  soft start 2: from feed, R3, S2, to bus 2\n');
    expect(text).toContain('  lifter 3: from T9-, 12 AWG 0.25 m, to T7-\n');
  });

  it('counts in what a part is called, before what is only said about it', () => {
    expect(made(BAR, { rebuild: 'duplicate', chain: 'weapon' }).text).toContain('about: weapon controller 2, brushless, 2 to 4 cells');
  });

  it('refuses the lead of the pack itself, and one with nothing of its own', () => {
    expect(refused(CRUSH, { rebuild: 'duplicate', chain: 'pack' })).toMatch(/^"pack" comes straight from the pack/);
    expect(refused(BAR, { rebuild: 'duplicate', chain: 'red wire of the weapon' })).toMatch(/^No part stands in/);
  });
});

describe('the size of a lead', () => {
  it('is changed, given for the first time, and taken out', () => {
    expect(made(CRUSH, { rebuild: 'lead', lead: supply('arm', 1), text: '8 AWG 0.60 m loose' }).text).toContain('  arm: from bar, Q2, 8 AWG 0.60 m loose, to T4\n');
    expect(made(CRUSH, { rebuild: 'lead', lead: supply('left', 0), text: '10 AWG 0.30 m' }).text).toContain('  left: from drive, 10 AWG 0.30 m, to T1\n');
    expect(made(CRUSH, { rebuild: 'lead', lead: supply('arm', 1), text: '' }).text).toContain('  arm: from bar, Q2, to T4\n');
    expect(made(LIFT, { rebuild: 'lead', lead: { role: 'return', name: 'lifter', at: 0 }, text: '10 AWG 0.25 m' }).text).toContain('  lifter: from T3-, 10 AWG 0.25 m, to T1-\n');
  });

  it('says what is wrong with it', () => {
    expect(refused(CRUSH, { rebuild: 'lead', lead: supply('arm', 1), text: '8 AWG' })).toMatch(/^wiring.arm: expected a conductor like/);
    expect(refused(CRUSH, { rebuild: 'lead', lead: supply('arm', 1), text: '8 AWG 0,6 m' })).toMatch(/decimal point/);
    expect(refused(CRUSH, { rebuild: 'lead', lead: supply('left', 0), text: 'thick' })).toMatch(/section and length/);
  });
});

it.each([
  { rebuild: 'duplicate', chain: 'arm' }, { rebuild: 'take out', part: 'T4' }, { rebuild: 'put in', into: supply('pack', 2), part: { kind: 'isolator', values: {} } },
] as const)('does the same in a file with Windows line ends: $rebuild', (wish) => {
  expect(made(CRUSH.replaceAll('\n', '\r\n'), wish).text).toBe(made(CRUSH, wish).text.replaceAll('\n', '\r\n'));
});

it('changes nothing in a file that is no machine', () => {
  expect(refused('ampwright: 1\n', { rebuild: 'take out', part: 'F1' })).toBe('The file is no machine as it stands. Mend its errors first.');
});
