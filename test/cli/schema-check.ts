/** The part of JSON Schema 2020-12 that schema/answers.schema.json uses; another keyword is an error, not a pass. */
type Schema = Readonly<Record<string, unknown>>;

const ANNOTATIONS = new Set(['$schema', '$defs', 'title', 'description']);

/** Every way in which a value breaks a schema, each as `path: what`. */
export function schemaViolations(value: unknown, schema: Schema, root: Schema = schema, path = '$'): string[] {
  return Object.entries(schema).flatMap(([keyword, rule]): string[] => {
    if (ANNOTATIONS.has(keyword)) return [];
    switch (keyword) {
      case '$ref': return schemaViolations(value, definition(root, rule as string), root, path);
      case 'anyOf': {
        const tries = (rule as Schema[]).map((one) => schemaViolations(value, one, root, path));
        return tries.some((found) => found.length === 0) ? [] : [`${path}: none of ${tries.length} fits: ${tries.flat().join('; ')}`];
      }
      case 'type': return [rule].flat().some((name) => isOfType(value, String(name))) ? [] : [`${path}: expected ${[rule].flat().join(' or ')}, got ${JSON.stringify(value)}`];
      case 'enum': return (rule as unknown[]).includes(value) ? [] : [`${path}: not one of ${JSON.stringify(rule)}`];
      case 'const': return value === rule ? [] : [`${path}: not ${JSON.stringify(rule)}`];
      case 'minimum': return typeof value === 'number' && value < (rule as number) ? [`${path}: below ${String(rule)}`] : [];
      case 'maximum': return typeof value === 'number' && value > (rule as number) ? [`${path}: above ${String(rule)}`] : [];
      case 'required': return isObject(value) ? (rule as string[]).filter((key) => !Object.hasOwn(value, key)).map((key) => `${path}.${key}: missing`) : [];
      case 'items': return Array.isArray(value) ? value.flatMap((one, index) => schemaViolations(one, rule as Schema, root, `${path}[${index}]`)) : [];
      case 'properties':
        return isObject(value)
          ? Object.entries(rule as Record<string, Schema>).flatMap(([key, one]) => (Object.hasOwn(value, key) ? schemaViolations(value[key], one, root, `${path}.${key}`) : []))
          : [];
      case 'additionalProperties': {
        if (rule !== false) throw new Error('schema-check: additionalProperties is only known as false');
        const known = Object.keys(schema['properties'] ?? {});
        return isObject(value) ? Object.keys(value).filter((key) => !known.includes(key)).map((key) => `${path}.${key}: not known`) : [];
      }
      default: throw new Error(`schema-check: keyword ${keyword} is not known`);
    }
  });
}

function definition(root: Schema, ref: string): Schema {
  const found = (root['$defs'] as Record<string, Schema> | undefined)?.[ref.replace('#/$defs/', '')];
  if (found === undefined) throw new Error(`schema-check: ${ref} leads nowhere`);
  return found;
}

function isObject(value: unknown): value is Record<string, unknown> {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}

function isOfType(value: unknown, name: string): boolean {
  switch (name) {
    case 'object': return isObject(value);
    case 'array': return Array.isArray(value);
    case 'null': return value === null;
    case 'integer': return Number.isInteger(value);
    default: return typeof value === name;
  }
}
