// openapi.json against the standard that it names, and a running daemon against openapi.json.
//
// The validators are general-purpose ones from npm: @seriousme/openapi-schema-validator holds the document against the schema of
// the OpenAPI Specification 3.1 (2021), ajv reads JSON Schema 2020-12. Bodies and mutations are invented.
//
//   TIDEMARK_BUILDDIR  where tidemarkd and site/ lie; npm's modules are below it
//   TIDEMARK_PORT      port to take, 18690 when not told
import assert from 'node:assert/strict';
import { spawn } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import path from 'node:path';
import { after, before, test } from 'node:test';

const build = process.env.TIDEMARK_BUILDDIR ?? path.resolve(import.meta.dirname, '../../../build');
const source = process.env.TIDEMARK_SRCDIR ?? path.resolve(import.meta.dirname, '../../..');
const require = createRequire(path.join(build, 'tests/api/openapi/package.json'));
const { default: Ajv } = require('ajv/dist/2020.js');
const addFormats = require('ajv-formats');
const document = JSON.parse(readFileSync(path.join(build, 'site/openapi.json'), 'utf8'));
const bodies = JSON.parse(readFileSync(path.join(source, 'tests/api/bodies.json'), 'utf8'));
const port = Number(process.env.TIDEMARK_PORT ?? 18690);
const base = `http://127.0.0.1:${port}`;

// strictRequired would ask that what is required stands beside its property: it does, but for the forms of a oneOf.
const ajv = new Ajv({ strict: true, allErrors: true, allowUnionTypes: true });
(addFormats.default ?? addFormats)(ajv);
ajv.addSchema({ ...document, $id: 'tidemark' }, 'tidemark', false, false);
ajv.addVocabulary(['openapi', 'info', 'paths', 'components']);

const compiled = new Map();
/** The validator of a schema somewhere in the document. */
function validator(schema) {
  const key = JSON.stringify(schema);
  if (!compiled.has(key)) compiled.set(key, ajv.compile(JSON.parse(key.replaceAll('"#/components/', '"tidemark#/components/'))));
  return compiled.get(key);
}

const why = (validate) => validate.errors.map((one) => `${one.instancePath} ${one.message} ${JSON.stringify(one.params)}`).join('; ');
const operations = Object.entries(document.paths).flatMap(([address, item]) => Object.entries(item).map(([method, operation]) => ({ address, method, operation })));
const answerSchema = (operation) => operation.responses['2XX'].content?.['application/json']?.schema;
const bodySchema = (operation) => operation.requestBody?.content['application/json'].schema;
const problemSchema = { $ref: '#/components/schemas/Problem' };

let daemon;
before(async () => {
  daemon = spawn(path.join(build, 'tidemarkd'), ['--demo', '--listen', `127.0.0.1:${port}`, '--www', path.join(build, 'site')], { stdio: 'ignore' });
  for (let turn = 0; turn < 600; turn++) {
    if (daemon.exitCode !== null) throw new Error(`tidemarkd ended with ${daemon.exitCode}`);
    if (await fetch(`${base}/healthz`).then((answer) => answer.ok, () => false)) return;
    await new Promise((resolve) => setTimeout(resolve, 100));
  }
  throw new Error('tidemarkd does not answer');
});
after(() => daemon.kill('SIGTERM'));

async function ask(method, address, body) {
  const response = await fetch(base + address, { method, ...(body === undefined ? {} : { headers: { 'Content-Type': 'application/json' }, body: typeof body === 'string' ? body : JSON.stringify(body) }) });
  const text = await response.text();
  return { status: response.status, type: response.headers.get('content-type') ?? '', json: /json/.test(response.headers.get('content-type') ?? '') ? JSON.parse(text) : null };
}

/** An answer, held against what the document says of it. */
function hold(operation, method, address, answer) {
  const schema = answer.status < 300 ? answerSchema(operation) : problemSchema;
  if (answer.status >= 300) assert.match(answer.type, /^application\/problem\+json/, `${method} ${address}`);
  if (!schema) return;
  const validate = validator(schema);
  assert.ok(validate(answer.json), `${method} ${address}: ${answer.status}: ${validate.errors ? why(validate) : ''}`);
}

test('the document is an OpenAPI 3.1 document', async () => {
  const { Validator } = await import(require.resolve('@seriousme/openapi-schema-validator'));
  const result = await new Validator().validate(structuredClone(document));
  assert.ok(result.valid, JSON.stringify(result.errors, null, 1));
  assert.equal(document.openapi.slice(0, 3), '3.1');
});

test('every operation has an id of its own and every schema compiles, strictly', () => {
  assert.equal(new Set(operations.map(({ operation }) => operation.operationId)).size, operations.length);
  for (const schema of Object.values(document.components.schemas)) validator(schema);
  for (const { operation } of operations)
    for (const parameter of operation.parameters) validator(parameter.schema);
});

test('what the demo garden answers to every GET is what the document says', async () => {
  const ids = {};
  for (const [part, list] of Object.entries({ tank: 'tanks', vessel: 'vessels', entry: 'entries' })) ids[part] = (await ask('GET', `/api/v1/${list}`)).json.items[0].id;
  let asked = 0;
  for (const { address, method, operation } of operations) {
    const real = address.replace(/\{(\w+)\}/g, (_, part) => ids[part] ?? 'no-such-thing');
    if (method !== 'get') continue;
    const answer = await ask('GET', real);
    if (!real.includes('no-such-thing')) assert.equal(answer.status, 200, real);
    hold(operation, method, real, answer);
    asked++;
  }
  assert.ok(asked >= 20, `${asked} asked`);
});

test('the good bodies are good by the document, and so are the answers', async () => {
  for (const { route, body } of bodies) {
    const [method, address] = route.split(' ');
    const operation = document.paths[address][method.toLowerCase()];
    const validate = validator(bodySchema(operation));
    assert.ok(validate(body), `${route}: ${validate.errors ? why(validate) : ''}`);
    if (!address.includes('/calc/') || JSON.stringify(body).includes('01900000-')) continue; // of another garden
    const answer = await ask(method, address, body);
    assert.equal(answer.status, 200, `${route}: ${JSON.stringify(answer.json)}`);
    hold(operation, method, address, answer);
  }
});

// xorshift32 (Journal of Statistical Software 8, 2003): the same mutations on every run.
let state = Number(process.env.TIDEMARK_FUZZ_SEED ?? 20260501);
const below = (n) => {
  state ^= state << 13;
  state ^= state >>> 17;
  state ^= state << 5;
  return (state >>> 0) % n;
};
const strange = [0, -1, 1.5, 1e9, 1e300, '', 'x', 'x'.repeat(600), '2026-02-30', '2026-05-01T00:00:00Z', null, true, [], {}, [1, 2, 3], { a: 1 }];

/** One value somewhere in it becomes another, goes, or gets company. */
function change(node) {
  const keys = Object.keys(node);
  if (!keys.length) return;
  const key = keys[below(keys.length)];
  if (typeof node[key] === 'object' && node[key] && below(3)) change(node[key]);
  else if (below(6) === 0 && !Array.isArray(node)) delete node[key];
  else if (below(6) === 0 && !Array.isArray(node)) node.no_such_field = 1;
  else node[key] = typeof node[key] === 'number' && below(2) ? node[key] * [-1, 10, 1000, 0.001][below(4)] : structuredClone(strange[below(strange.length)]);
}

test('what the daemon takes, the document takes: spoilt bodies', async () => {
  let taken = 0;
  let refused = 0;
  for (const { route, body } of bodies.filter((one) => one.route.includes('/calc/'))) {
    const [method, address] = route.split(' ');
    const operation = document.paths[address][method.toLowerCase()];
    const validate = validator(bodySchema(operation));
    for (let round = 0; round < 120; round++) {
      const spoilt = structuredClone(body);
      change(spoilt);
      const good = validate(spoilt);
      const answer = await ask(method, address, spoilt);
      assert.ok(answer.status === 200 || answer.status === 422, `${route} ${JSON.stringify(spoilt)}: ${answer.status}`);
      assert.ok(good || answer.status !== 200, `${route}: the daemon took what the document refuses: ${validate.errors ? why(validate) : ''}: ${JSON.stringify(spoilt)}`);
      hold(operation, method, address, answer);
      if (answer.status === 200) taken++;
      else refused++;
    }
  }
  assert.ok(taken > 20 && refused > 200, `${taken} taken, ${refused} refused`);
});
