import { ACTS, DUTY_ACTS, ROLES } from '../duty/duty.ts';
import { DUTY_NAMES } from '../duty/ready-made.ts';
import { DUTY_FIELDS } from '../duty/rules.ts';
import { wordsOf, type Field } from '../field.ts';
import type { PartKind } from '../kind.ts';
import { PART_KINDS } from '../parts.ts';

/** JSON, as far as a schema needs it. */
export type Json = string | number | boolean | readonly Json[] | { readonly [key: string]: Json };

/**
 * JSON Schema (draft 2020-12) of the machine file, from the part kinds: for editors that complete and check as one
 * writes. It knows names and shapes; units, ranges and connections are checked by reading the file.
 */
export function machineSchema(): Json {
  return {
    $schema: 'https://json-schema.org/draft/2020-12/schema',
    title: 'Ampwright machine file',
    type: 'object',
    properties: {
      ampwright: { const: 1, description: 'Format version.' },
      machine: text('Name of the machine.'),
      about: text('What it is.'),
      mass: quantity('Mass of the whole machine.', '60 kg'),
      parts: {
        type: 'object',
        description: 'The parts by their id.',
        propertyNames: { pattern: '^\\p{L}[\\p{L}\\p{N}_]{0,39}$' },
        additionalProperties: { oneOf: PART_KINDS.map(({ kind }) => ({ $ref: `#/$defs/${kind}` })) },
        minProperties: 1,
      },
      wiring: chains('Chains of the + side: "from bar, Q1, 8 AWG 0.50 m, to T1".'),
      returns: {
        description: 'How the negatives run back.',
        oneOf: [{ type: 'string', pattern: '^all negatives on one bar' }, chains('The general line, and return chains of their own.')],
      },
      'signal grounds': chains('Signal-ground leads between - terminals, each one way.'),
      procedure: steps('What the crew does to power up.'),
      'power down': steps('What the crew does to power down.'),
      surroundings: {
        type: 'object',
        description: 'Temperatures.',
        properties: { ambient: quantity('Air around the machine.', '25 °C'), inside: quantity('Air inside it.', '40 °C') },
        additionalProperties: false,
      },
      match: quantity('Length of a match.', '180 s'),
      duty: duty(),
      notes: { type: 'object', description: 'Texts by name: kept, not interpreted.', additionalProperties: { type: ['string', 'number', 'boolean'] } },
    },
    required: ['ampwright', 'machine', 'parts', 'wiring', 'returns'],
    additionalProperties: false,
    $defs: Object.fromEntries(PART_KINDS.map((kind) => [kind.kind, partSchema(kind)])),
  };
}

function partSchema({ kind, meaning, fields }: PartKind): Json {
  const required = Object.entries(fields).filter(([, field]) => field.required === true).map(([property]) => wordsOf(property));
  return {
    type: 'object',
    description: meaning,
    properties: {
      kind: { const: kind, description: meaning },
      about: text('What it is, in your words.'),
      ...Object.fromEntries(Object.entries(fields).map(([property, field]) => [wordsOf(property), fieldSchema(field)])),
    },
    required: ['kind', ...required],
    additionalProperties: false,
  };
}

function fieldSchema(field: Field): Json {
  switch (field.type) {
    case 'quantity':
      return quantity(field.meaning, field.example);
    case 'choice':
      return { enum: field.options, description: field.meaning };
    case 'flag':
      // An editor that reads YAML 1.1 takes yes and no for true and false.
      return { enum: ['yes', 'no', true, false], description: field.meaning };
    case 'part':
    case 'text':
      return text(field.meaning);
    case 'positions':
      return {
        type: 'object',
        description: field.meaning,
        additionalProperties: { type: 'string', pattern: '^(open|direct|through \\S+)$' },
        minProperties: 2,
      };
  }
}

function duty(): Json {
  const line = {
    type: 'object',
    properties: {
      do: { enum: DUTY_ACTS, description: DUTY_ACTS.map((act) => `${act}: ${ACTS[act].meaning}`).join('; ') },
      with: text(`Motors or servos by their ids, or ${ROLES.join(', ')}.`),
      ...Object.fromEntries(Object.entries(DUTY_FIELDS).map(([word, { meaning, example }]) => [word, quantity(meaning, example)])),
    },
    required: ['do'],
    additionalProperties: false,
  };
  return { description: 'What happens during a match: a ready-made duty by its name, or its lines.', oneOf: [{ enum: DUTY_NAMES }, { type: 'array', items: line }] };
}

function text(description: string): Json {
  return { type: ['string', 'number'], description };
}

/** A number with its unit, or a bare one where the field has none. */
function quantity(description: string, example: string): Json {
  return { type: ['string', 'number'], pattern: '[0-9]', description, examples: [example] };
}

function chains(description: string): Json {
  return { type: 'object', description, additionalProperties: { type: 'string', pattern: '^(from .+, *to .+|all negatives on one bar.*)$' } };
}

function steps(description: string): Json {
  const verbs = 'turn|close|open|press|release|hold|insert|remove|connect|disconnect|wait|crew:';
  return {
    type: 'array',
    description,
    items: {
      oneOf: [
        { type: 'string', pattern: `^(${verbs}) ` },
        { type: 'object', properties: { crew: text('Done by hand; no effect on the circuit.') }, required: ['crew'], additionalProperties: false },
      ],
    },
  };
}
