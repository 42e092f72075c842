import { formatValue } from '../../quantity/format.ts';
import type { LoadLook } from '../../questions/states/look.ts';
import { good, type GoodMachine } from '../store/document.ts';
import { moment } from '../store/moment.ts';
import { look, situation, standing, toggle, turn, turnAll } from '../store/situation.ts';
import { situationWords, switchName } from '../store/situation-words.ts';
import { isWide, select } from '../store/view.ts';
import { figureWords } from '../time/words.ts';

/** The situation as a sentence, each piece of which can be changed, and what it makes of the loads. */
export function SituationStrip() {
  const machine = good.value;
  if (machine === undefined) return <section class="strip" aria-label="The situation" />;
  return (
    <section class="strip" aria-label="The situation">
      {isWide.value ? <Sentence machine={machine} /> : <details><summary>{situationWords(standing.value, machine)}</summary><Sentence machine={machine} /></details>}
      <Verdicts />
    </section>
  );
}

function Sentence({ machine }: { readonly machine: GoodMachine }) {
  const { switches, packs, motors, failures } = machine.changeables;
  const { positions, absent, turning, failures: failed } = standing.value;
  return (
    <div class="sentence">
      {switches.map(({ part, positions: all }) => (
        <label key={part} class="piece">
          <span>{switchName(machine, part)}</span>{' '}
          <select value={positions[part]} onChange={(event) => turn(part, event.currentTarget.value)}>
            {all.map((name) => <option key={name} value={name}>{name}</option>)}
          </select>
        </label>
      ))}
      {packs.map((part) => (
        <label key={part} class="piece">
          <span>pack {part}</span>{' '}
          <select value={absent.includes(part) ? 'out' : 'in'} onChange={() => toggle('absent', part)}><option>in</option><option>out</option></select>
        </label>
      ))}
      {motors.length === 0 ? null : (
        <label class="piece">
          <span>turning</span>{' '}
          <select value={turning[0] ?? ''} onChange={(event) => (situation.value = { ...situation.peek(), turning: event.currentTarget.value === '' ? [] : [event.currentTarget.value] })}>
            <option value="">no motor</option>{motors.map((part) => <option key={part}>{part}</option>)}
          </select>
        </label>
      )}
      <label class="piece">
        <span>failed</span>{' '}
        <select value={failed[0] ?? ''} onChange={(event) => (situation.value = { ...situation.peek(), failures: event.currentTarget.value === '' ? [] : [event.currentTarget.value] })}>
          <option value="">nothing</option>{failures.map(({ words }) => <option key={words}>{words}</option>)}
        </select>
      </label>
      <span class="all"><button type="button" class="plain" onClick={() => turnAll('open')}>all open</button> <button type="button" class="plain" onClick={() => turnAll('powered up')}>as after power-up</button></span>
    </div>
  );
}

/** `fed by G1 through F1, X1, Q1`. */
export function pathWords({ path, part }: LoadLook): string {
  if (path === undefined) return '';
  const through = path.parts.filter((one) => one !== path.from && one !== part);
  return `fed by ${path.from ?? 'a way that could not be followed'}${through.length === 0 ? '' : ` through ${through.join(', ')}`}`;
}

const ORDER = ['can move', 'awake', 'charged', 'leaking', 'dead'] as const;

function Verdicts() {
  const now = look.value;
  if (now === undefined) return <p class="outcome">&nbsp;</p>;
  if (!now.look.solved) return <p class="outcome trouble">No state of rest was found for this situation.</p>;
  const odd = now.look.loads.filter(({ state, meant }) => !meant && state !== 'dead');
  return (
    <p class="outcome" role={moment.value === undefined ? 'status' : undefined}>
      {ORDER.map((state) => {
        const here = now.look.loads.filter((load) => load.state === state);
        return here.length === 0 ? null : <span key={state} class={`group ${state.replace(' ', '-')}`}><b>{state}</b> {here.map((load) => <Load key={load.part} load={load} />)}</span>;
      })}
      {odd.length === 0 ? null : <span class="odd">{odd.map(({ part }) => part).join(', ')}: not meant to be fed.</span>}
    </p>
  );
}

function Load({ load }: { readonly load: LoadLook }) {
  // While a run is looked at, figures keep their width.
  const figure = moment.value === undefined ? formatValue(load.volts_V, 'voltage') : figureWords(load.volts_V, 'voltage');
  const volts = Math.abs(load.volts_V) < 0.05 ? '' : ` ${figure}`;
  return <button type="button" class="plain" onClick={() => select(load.part)} title={load.path === undefined ? '' : pathWords(load)}>{load.part}{volts.replace(' ', '\u00A0')}{load.hiccups ? ', again and again' : ''}</button>;
}
