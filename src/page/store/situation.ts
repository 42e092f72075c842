import { computed, effect, signal } from '@preact/signals';
import type { NamedSituation, SituationLook } from '../../questions/states/look.ts';
import { bench } from './bench.ts';
import { good } from './document.ts';
import { moment } from './moment.ts';

/** What differs from the machine as its power-up leaves it. */
export const situation = signal<NamedSituation>({ positions: {}, absent: [], turning: [], failures: [] });

/** Situation with every switch named. */
export const standing = computed<NamedSituation>(() => {
  const up = good.value?.changeables.poweredUp ?? {};
  return { ...situation.value, positions: { ...up, ...situation.value.positions } };
});

/** What the situation makes of the machine at rest, with the text and situation that it belongs to. */
const atRest = signal<{ readonly text: string; readonly named: NamedSituation; readonly look: SituationLook } | undefined>(undefined);

/** The same, or what a run makes of it at the moment that is looked at. */
export const look = computed(() => {
  const rest = atRest.value;
  const now = moment.value;
  return rest === undefined || now === undefined || now.text !== rest.text ? rest : { ...rest, look: now.look(rest.look) };
});

let newest = 0;

effect(() => {
  const machine = good.value;
  const named = standing.value;
  newest += 1;
  const own = newest;
  if (machine === undefined) {
    atRest.value = undefined;
    return;
  }
  void bench({ does: 'look', text: machine.text, situation: named }).then((found) => {
    if (own === newest && found !== undefined) atRest.value = { text: machine.text, named, look: found };
  });
});

export function turn(part: string, position: string): void {
  situation.value = { ...situation.peek(), positions: { ...situation.peek().positions, [part]: position } };
}

/** The next position of a switch, as a hand would turn it. */
export function turnOn(part: string): void {
  const positions = good.peek()?.changeables.switches.find((one) => one.part === part)?.positions;
  if (positions === undefined) return;
  const at = positions.indexOf(standing.peek().positions[part] ?? '');
  turn(part, positions[(at + 1) % positions.length] ?? '');
}

export function toggle(list: 'absent' | 'turning' | 'failures', name: string): void {
  const now = situation.peek()[list];
  situation.value = { ...situation.peek(), [list]: now.includes(name) ? now.filter((one) => one !== name) : [...now, name] };
}

/** Every switch to one end: all as after the power up, or all open. */
export function turnAll(to: 'powered up' | 'open'): void {
  const changeables = good.peek()?.changeables;
  if (changeables === undefined) return;
  const open = Object.fromEntries(changeables.switches.map(({ part, positions }) => [part, positions[0] ?? '']));
  situation.value = { positions: to === 'open' ? open : {}, absent: [], turning: [], failures: [] };
}
