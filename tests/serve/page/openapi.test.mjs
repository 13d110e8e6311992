// The description of the local API says what the server does: the same routes, methods, statuses and shapes.

import assert from 'node:assert/strict';
import {readFileSync} from 'node:fs';
import {join} from 'node:path';
import {after, before, test} from 'node:test';

import {parse} from 'yaml';

import {sample, Served, source} from './server.mjs';

const described = parse(readFileSync(join(source, 'src/serve/page/openapi.yaml'), 'utf8'));
const serverSource = readFileSync(join(source, 'src/serve/api.cpp'), 'utf8');

let served;
before(async () => {
  served = await Served.begin({'a.yaml': sample('basement-house'), 'wrong.yaml': 'swingtie: 1\n'});
});
after(() => served?.end());

function resolve(node) {
  return node && typeof node === 'object' && '$ref' in node ? resolve(node.$ref.split('/').slice(1).reduce((at, key) => at[key], described)) : node;
}

/** What of a value is not as a schema says; the few words of JSON Schema that the description uses. */
function unlike(schema, value, where = '') {
  const s = resolve(schema);
  const {type, required = [], properties = {}, items, oneOf, allOf, minItems = 0, maxItems = Infinity} = s;
  if (oneOf) return oneOf.some(o => unlike(o, value, where).length === 0) ? [] : [`${where}: none of the alternatives`];
  if (allOf) return allOf.flatMap(o => unlike(o, value, where));
  const is = value === null ? 'null' : Array.isArray(value) ? 'array' : Number.isInteger(value) ? 'integer' : typeof value;
  const allowed = [type].flat();
  if (type && !allowed.includes(is) && !(is === 'integer' && allowed.includes('number'))) return [`${where}: ${is} and not ${allowed}`];
  if (s.enum && !s.enum.includes(value)) return [`${where}: ${value} is none of ${s.enum}`];
  if (is === 'array') {
    if (value.length < minItems || value.length > maxItems) return [`${where}: ${value.length} entries`];
    return items ? value.flatMap((v, i) => unlike(items, v, `${where}/${i}`)) : [];
  }
  if (is !== 'object') return [];
  const missing = required.filter(k => !(k in value)).map(k => `${where}/${k}: missing`);
  // Where the description names keys it names all of them.
  const extra = Object.keys(properties).length > 0 ? Object.keys(value).filter(k => !(k in properties)).map(k => `${where}/${k}: not described`) : [];
  return [...missing, ...extra, ...Object.entries(properties).flatMap(([k, p]) => (k in value ? unlike(p, value[k], `${where}/${k}`) : []))];
}

/** Checks an answer against what is described for it. */
async function asDescribed(method, path, route, response) {
  const operation = described.paths[route]?.[method.toLowerCase()];
  assert.ok(operation, `${method} ${route} is not described`);
  const answer = resolve(operation.responses[response.status] ?? operation.responses.default);
  assert.ok(operation.responses[response.status] || response.status >= 400, `${method} ${path}: ${response.status} is not described`);
  const type = response.headers.get('Content-Type').split(';')[0];
  assert.ok(answer.content[type], `${method} ${path}: ${type} is not described`);
  if (type !== 'application/json') return;
  assert.deepEqual(unlike(answer.content[type].schema, await response.json()), [], `${method} ${path}`);
}

const text = sample('basement-house');
const picture = new Uint8Array([0xff, 0xd8, 0xff, 0xe0]);
const calls = [
  ['GET', '/api/jobs', '/api/jobs'],
  ['GET', '/api/jobs/a.yaml', '/api/jobs/{name}'],
  ['GET', '/api/jobs/none.yaml', '/api/jobs/{name}'],
  ['GET', '/api/jobs/a.txt', '/api/jobs/{name}'],
  ['PUT', '/api/jobs/new.yaml', '/api/jobs/{name}', {text, base_version: ''}],
  ['PUT', '/api/jobs/a.yaml', '/api/jobs/{name}', {text: 'x', base_version: 'an older one'}],
  ['POST', '/api/answer', '/api/answer', {text}],
  ['POST', '/api/answer', '/api/answer', {text: 'swingtie: 1\n', name: 'wrong.yaml'}],
  ['POST', '/api/answer', '/api/answer', {}],
  ['POST', '/api/draw', '/api/draw', {text}],
  ['POST', '/api/draw', '/api/draw', {text, sheet: 'route', style: 'mono', format: 'pdf'}],
  ['POST', '/api/draw', '/api/draw', {text, sheet: 'full', style: 'high-contrast', format: 'html'}],
  ['POST', '/api/draw', '/api/draw', {text: 'swingtie: 1\n', format: 'pdf'}],
  ['POST', '/api/draw', '/api/draw', {text, sheet: 'none'}],
  ['POST', '/api/export', '/api/export', {text, format: 'geojson'}],
  ['POST', '/api/export', '/api/export', {text: 'swingtie: 1\n'}],
  ['POST', '/api/export', '/api/export', {text, format: 'exe'}],
  ['POST', '/api/export', '/api/export', {text: text.replace(/^ *anchor:.*\n/m, ''), format: 'geojson'}],
  ['POST', '/api/tell', '/api/tell', {text, for: 'buyer'}],
  ['POST', '/api/tell', '/api/tell', {text, for: 'nobody'}],
  ['PUT', '/api/photos/x.jpg', '/api/photos/{name}', picture],
  ['PUT', '/api/photos/x.jpg', '/api/photos/{name}', picture],
  ['PUT', '/api/photos/y.jpg', '/api/photos/{name}', new Uint8Array([1])],
  ['GET', '/api/photos/x.jpg', '/api/photos/{name}'],
  ['GET', '/api/photos/none.jpg', '/api/photos/{name}'],
  ['GET', '/api/schema', '/api/schema'],
];

test('every answer is as the description says', async () => {
  for (const [method, path, route, body] of calls) {
    const response = await served.call(method, path, body);
    // What could not be described is described wrongly: an unexpected failure must not pass as a refusal.
    assert.ok(response.status < 500, `${method} ${path}: ${response.status}`);
    await asDescribed(method, path, route, response);
  }
});

test('every route that is described was asked, and every route of the server is described', () => {
  const asked = new Set(calls.map(([method, , route]) => `${method} ${route}`));
  const routes = Object.entries(described.paths).flatMap(([route, methods]) =>
    Object.keys(methods).filter(m => m !== 'parameters').map(m => `${m.toUpperCase()} ${route}`));
  assert.deepEqual(routes.filter(r => !asked.has(r)), []);
  const inSource = [...new Set([...serverSource.matchAll(/"(\/api\/[a-z]+)\/?"/g)].map(m => m[1]))].sort();
  assert.deepEqual([...new Set(Object.keys(described.paths).map(p => p.split('/{')[0]))].sort(), inSource);
});

test('methods that are not described are refused', async () => {
  for (const [route, methods] of Object.entries(described.paths)) {
    const path = route.replace('{name}', route.includes('photos') ? 'x.jpg' : 'a.yaml');
    for (const method of ['GET', 'PUT', 'POST', 'DELETE', 'PATCH']) {
      if (method.toLowerCase() in methods) continue;
      const {status} = await served.call(method, path, method === 'GET' ? undefined : {text});
      assert.ok([400, 404, 405].includes(status), `${method} ${path}: ${status}`);
    }
  }
});

test('the schema of jobs is the one that the program prints', async () => {
  const schema = await (await served.call('GET', '/api/schema')).json();
  assert.equal(schema.$schema, 'https://json-schema.org/draft/2020-12/schema');
  assert.ok('runs' in schema.properties);
});
