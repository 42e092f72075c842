import type { ComponentChildren } from 'preact';
import { useEffect, useRef } from 'preact/hooks';
import { wordsOf } from '../../machine/field.ts';
import { kindOf } from '../../machine/parts.ts';
import { leadName, leadsIn, type Lead } from '../../machine/rebuild/leads.ts';
import { good, type GoodMachine } from '../store/document.ts';
import { cameWith, inHand, wantsFocus, type InHand } from '../store/in-hand.ts';
import { look, standing, toggle, turn } from '../store/situation.ts';
import { select } from '../store/view.ts';
import { formatValue } from '../../quantity/format.ts';
import { pathWords } from '../drawing/situation-strip.tsx';
import { leadsAt } from './ends.ts';
import { AboutRow, FieldRow } from './field-row.tsx';
import { LeadFacts } from './lead-facts.tsx';
import { RebuildMenu } from './rebuild-menu.tsx';

/** What is in hand, a part, a lead or a place: its values, how it stands, what can be made of it; with empty hands, all parts to pick from. */
export function Hand() {
  const machine = good.value;
  const held = inHand.value;
  if (machine === undefined) return <p class="waiting">There is no machine yet.</p>;
  if (held === undefined) return <PartList machine={machine} />;
  if (held.is === 'part') return <PartInHand key={held.name} held={held} machine={machine} />;
  if (held.is === 'lead') return <LeadInHand key={held.name} held={held} machine={machine} />;
  return <PlaceInHand key={held.name} held={held} machine={machine} />;
}

/** Its name, to which the keyboard goes when it is new. */
function HandHead({ held, children }: { readonly held: InHand; readonly children: ComponentChildren }) {
  const title = useRef<HTMLHeadingElement>(null);
  useEffect(() => {
    if (wantsFocus.value !== held.name) return;
    wantsFocus.value = undefined;
    title.current?.focus();
  }, [wantsFocus.value, held.name]);
  return (
    <div class="hand-head">
      <h2 ref={title} tabIndex={-1}>{held.is === 'part' ? held.name : held.is === 'place' ? held.place : `${held.lead.from} to ${held.lead.to}`}</h2>
      <p class="about">{children}</p>
      <button type="button" class="plain" onClick={() => select(undefined)}>Put down</button>
      {cameWith.value?.name === held.name ? <ul class="sentences came-with" role="status">{cameWith.value.also.map((line) => <li key={line}>{line}</li>)}</ul> : null}
    </div>
  );
}

function PartList({ machine }: { readonly machine: GoodMachine }) {
  return (
    <div class="part-list">
      <h2>Parts</h2>
      <ul>{[...machine.machine.parts.values()].map((part) => <li key={part.id}><button type="button" onClick={() => select(part.id)}><b>{part.id}</b> {part.about ?? kindOf(part.kind)?.name}</button></li>)}</ul>
      <details>
        <summary>Leads between them</summary>
        <LeadButtons leads={leadsIn(machine.machine)} />
      </details>
    </div>
  );
}

/** Leads to take in hand. */
function LeadButtons({ leads }: { readonly leads: readonly Lead[] }) {
  return (
    <ul class="lead-buttons">
      {leads.map((lead) => (
        <li key={leadName(lead)}>
          <button type="button" class="plain" onClick={() => select(leadName(lead))}>{lead.from} to {lead.to}</button>{' '}
          <span class="second">{[lead.conductor === undefined ? undefined : `${lead.conductor.section.text} ${lead.conductor.length.text}`, lead.chain.role === 'supply' ? undefined : lead.chain.role === 'return' ? 'negative' : 'signal ground'].filter((word) => word !== undefined).join(', ')}</span>
        </li>
      ))}
    </ul>
  );
}

function LeadInHand({ held, machine }: { readonly held: InHand & { is: 'lead' }; readonly machine: GoodMachine }) {
  const { chain, at, from, to } = held.lead;
  const state = chain.role === 'supply' ? look.value?.look.conductors[chain.name]?.[at] : undefined;
  const ends = [from, to].map((stop) => stop.replace(/(?: out|[+-])$/, '')).map((stop) => (machine.machine.parts.has(stop) ? stop : `@${stop}`));
  return (
    <div class="hand">
      <HandHead held={held}>A lead of "{chain.name}"{chain.role === 'supply' ? '' : chain.role === 'return' ? ', a negative' : ', a signal ground'}</HandHead>
      <div class="standing">
        <p>{state === undefined ? 'From ' : <><b>{state}</b>, from </>}{ends.map((end, k) => <>{k === 0 ? '' : ' to '}<button key={end} type="button" class="plain" onClick={() => select(end)}>{end.replace(/^@/, '')}</button></>)}</p>
      </div>
      <RebuildMenu inHand={held} machine={machine} />
      <LeadFacts lead={held.lead} />
    </div>
  );
}

function PlaceInHand({ held, machine }: { readonly held: InHand & { is: 'place' }; readonly machine: GoodMachine }) {
  const here = look.value?.look.places[held.place];
  return (
    <div class="hand">
      <HandHead held={held}>A place where leads meet</HandHead>
      {here === undefined ? null : <p class="standing"><b>{here.state}</b>, {formatValue(Math.abs(here.volts_V) < 0.005 ? 0 : here.volts_V, 'voltage')}</p>}
      <RebuildMenu inHand={held} machine={machine} />
      <h3>Leads here</h3>
      <LeadButtons leads={leadsAt(machine.machine, held)} />
    </div>
  );
}

function PartInHand({ held, machine }: { readonly held: InHand & { is: 'part' }; readonly machine: GoodMachine }) {
  const { part } = held;
  const leads = leadsAt(machine.machine, held);
  const kind = kindOf(part.kind);
  const fields = Object.entries(kind?.fields ?? {});
  const values = part.values as Readonly<Record<string, unknown>>;
  const given = fields.filter(([property]) => values[property] !== undefined);
  const missing = fields.filter(([property]) => values[property] === undefined);
  return (
    <div class="hand">
      <HandHead held={held}>{part.about ?? kind?.meaning}</HandHead>
      <Standing part={part.id} machine={machine} />
      <RebuildMenu inHand={held} machine={machine} />
      {given.map(([property, field]) => <FieldRow key={property} part={part.id} words={wordsOf(property)} field={field} value={values[property]} />)}
      {missing.length === 0 ? null : (
        <details class="missing">
          <summary>{missing.length === 1 ? 'One value that is not given' : `${missing.length} values that are not given`}</summary>
          {missing.map(([property, field]) => <FieldRow key={property} part={part.id} words={wordsOf(property)} field={field} value={undefined} />)}
        </details>
      )}
      <AboutRow part={part} />
      {leads.length === 0 ? null : <details class="missing"><summary>{leads.length === 1 ? 'Its lead' : `Its ${leads.length} leads`}</summary><LeadButtons leads={leads} /></details>}
    </div>
  );
}

/** Where it stands in the situation, and what can be tried with it. */
function Standing({ part, machine }: { readonly part: string; readonly machine: GoodMachine }) {
  const { switches, failures } = machine.changeables;
  const own = switches.find((one) => one.part === part);
  const load = look.value?.look.loads.find((one) => one.part === part);
  const failed = failures.filter((one) => one.part === part);
  const { positions, failures: now } = standing.value;
  return (
    <div class="standing">
      {own === undefined ? null : (
        <div class="positions" role="group" aria-label={`Position of ${part}`}>
          {own.positions.map((name) => <button key={name} type="button" aria-pressed={positions[part] === name} onClick={() => turn(part, name)}>{name}</button>)}
        </div>
      )}
      {load === undefined ? null : (
        <p><b>{load.state}</b>, {formatValue(Math.abs(load.volts_V) < 0.005 ? 0 : load.volts_V, 'voltage')} across it{load.path === undefined ? '' : `, ${pathWords(load)}`}.</p>
      )}
      {failed.length === 0 ? null : (
        <details open={failed.some(({ words }) => now.includes(words))}>
          <summary>What if it fails?</summary>
          <p class="try">{failed.map(({ words }) => <button key={words} type="button" aria-pressed={now.includes(words)} onClick={() => toggle('failures', words)}>{words}</button>)}</p>
        </details>
      )}
    </div>
  );
}
