/** The words of JSON Schema 2020-12 that the machine file's schema uses; another word is an error, not a pass. */
export function violations(schema: unknown, value: unknown, root: unknown = schema, path = ''): string[] {
  const words = schema as Record<string, unknown>;
  return Object.entries(words).flatMap(([word, rule]) => {
    const check = CHECKS[word];
    if (check === undefined) throw new Error(`schema: the word ${word} is not known here`);
    return check(rule, value, { root, path, words });
  });
}

interface Context {
  readonly root: unknown;
  readonly path: string;
  readonly words: Record<string, unknown>;
}

type Check = (rule: unknown, value: unknown, context: Context) => string[];

const silent: Check = () => [];

const CHECKS: Readonly<Record<string, Check>> = {
  $schema: silent, $defs: silent, title: silent, description: silent, examples: silent,
  $ref: (rule, value, { root, path }) => violations(target(String(rule), root), value, root, path),
  type: (rule, value, { path }) => ([rule].flat().includes(typeOf(value)) ? [] : [`${path}: is a ${typeOf(value)}, not ${String(rule)}`]),
  const: (rule, value, { path }) => (value === rule ? [] : [`${path}: is not ${String(rule)}`]),
  enum: (rule, value, { path }) => ((rule as unknown[]).includes(value) ? [] : [`${path}: is none of ${String(rule)}`]),
  pattern: (rule, value, { path }) => (typeof value !== 'string' || new RegExp(String(rule), 'u').test(value) ? [] : [`${path}: does not match ${String(rule)}`]),
  oneOf: (rule, value, { root, path }) => {
    const tried = (rule as unknown[]).map((option) => violations(option, value, root, path));
    const fitting = tried.filter((one) => one.length === 0).length;
    return fitting === 1 ? [] : [`${path}: fits ${fitting} of ${tried.length} (${tried.map((one) => one[0] ?? '').join(' | ')})`];
  },
  required: (rule, value, { path }) => (isObject(value) ? (rule as string[]).filter((key) => !(key in value)).map((key) => `${path}: has no ${key}`) : []),
  minProperties: (rule, value, { path }) => (isObject(value) && Object.keys(value).length < Number(rule) ? [`${path}: has too few`] : []),
  propertyNames: (rule, value, { root, path }) => (isObject(value) ? Object.keys(value).flatMap((key) => violations(rule, key, root, `${path}.${key}`)) : []),
  items: (rule, value, { root, path }) => (Array.isArray(value) ? value.flatMap((item, k) => violations(rule, item, root, `${path}.${k}`)) : []),
  properties: (rule, value, { root, path }) => (isObject(value)
    ? Object.entries(rule as object).flatMap(([key, sub]) => (key in value ? violations(sub, value[key], root, `${path}.${key}`) : [])) : []),
  additionalProperties: (rule, value, { root, path, words }) => {
    if (!isObject(value)) return [];
    const named = Object.keys(words['properties'] ?? {});
    return Object.keys(value).filter((key) => !named.includes(key))
      .flatMap((key) => (rule === false ? [`${path}.${key}: is not known`] : violations(rule, value[key], root, `${path}.${key}`)));
  },
};

function target(reference: string, root: unknown): unknown {
  return reference.slice(2).split('/').reduce<unknown>((node, key) => (node as Record<string, unknown>)[key], root);
}

function isObject(value: unknown): value is Record<string, unknown> {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}

function typeOf(value: unknown): string {
  return value === null ? 'null' : Array.isArray(value) ? 'array' : typeof value;
}
