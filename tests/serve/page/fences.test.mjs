// What the server must not give, take or be talked into, asked over real sockets.

import assert from 'node:assert/strict';
import {mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, symlinkSync, writeFileSync} from 'node:fs';
import {connect} from 'node:net';
import {networkInterfaces, tmpdir} from 'node:os';
import {join} from 'node:path';
import {after, before, test} from 'node:test';
import {spawnSync} from 'node:child_process';

import {sample, Served} from './server.mjs';

const secret = 'swingtie: 1 # nobody may see this';
const lots = JSON.stringify({
  type: 'FeatureCollection',
  features: [{type: 'Feature', properties: {}, geometry: {type: 'Polygon', coordinates: [[[-81, 41], [-81, 41.0003], [-80.9998, 41.0003], [-80.9998, 41], [-81, 41]]]}}],
});

let served;
let outside;

before(async () => {
  outside = mkdtempSync(join(tmpdir(), 'swingtie-outside-'));
  writeFileSync(join(outside, 'secret.yaml'), secret);
  writeFileSync(join(outside, 'secret.jpg'), Buffer.from([0xff, 0xd8, 0xff, 1, 2, 3]));
  writeFileSync(join(outside, 'lots.geojson'), lots);
  served = await Served.begin({'a.yaml': sample('basement-house'), 'inside/lots.geojson': lots});
  symlinkSync(join(outside, 'secret.yaml'), served.path('link.yaml'));
  symlinkSync(join(outside, 'secret.jpg'), served.path('link.jpg'));
  symlinkSync(outside, served.path('way-out'));
  symlinkSync(join(outside, 'lots.geojson'), served.path('inside/link.geojson'));
});
after(async () => {
  await served?.end();
  rmSync(outside, {recursive: true, force: true});
});

/** Bytes as they are, on a socket of their own: nothing tidies a path or adds a header. @return {Promise<string>} */
function raw(text) {
  return new Promise((done, fail) => {
    const socket = connect(served.port, '127.0.0.1', () => socket.write(text));
    let got = '';
    socket.on('data', bytes => (got += bytes));
    socket.on('close', () => done(got));
    socket.on('error', fail);
    socket.setTimeout(8000, () => socket.destroy());
  });
}

const get = (path, headers = {}) => {
  const all = {Host: `127.0.0.1:${served.port}`, 'X-Swingtie-Token': served.key, Connection: 'close', ...headers};
  return raw(`GET ${path} HTTP/1.1\r\n${Object.entries(all).map(([k, v]) => `${k}: ${v}\r\n`).join('')}\r\n`);
};
const status = answer => Number(/^HTTP\/1\.1 (\d+)/.exec(answer)?.[1]);

const climbs = [
  '../secret.yaml', '..%2fsecret.yaml', '%2e%2e/secret.yaml', '%2e%2e%2fsecret.yaml', '..%252fsecret.yaml', 'inside/../../secret.yaml', 'inside%2f..%2f..%2fsecret.yaml',
  './secret.yaml', '/etc/passwd', '%2fetc%2fpasswd', '//etc/passwd', '..\\secret.yaml', '..%5csecret.yaml', '%00secret.yaml', 'a.yaml%00.jpg', '.state/x.yaml',
  'link.yaml', 'way-out/secret.yaml', 'link.jpg', 'way-out/secret.jpg', '%c0%ae%c0%ae/secret.yaml', `${'x/'.repeat(90)}secret.yaml`, `${'x'.repeat(300)}.yaml`,
];

test('no path climbs out of the folder, by reading or by writing', async () => {
  const outsideBefore = readdirSync(outside).sort();
  for (const start of ['/api/jobs/', '/api/photos/', '/', '/api/']) {
    for (const climb of climbs) {
      const read = await get(start + climb);
      assert.ok([400, 404].includes(status(read)), `GET ${start}${climb}: ${status(read)}`);
      assert.ok(!read.includes('nobody may see this') && !read.includes('root:'), climb);
    }
  }
  for (const climb of climbs) {
    const body = JSON.stringify({text: 'swingtie: 1', base_version: ''});
    const wrote = await raw(
      `PUT /api/jobs/${climb} HTTP/1.1\r\nHost: 127.0.0.1:${served.port}\r\nX-Swingtie-Token: ${served.key}\r\nConnection: close\r\nContent-Length: ${body.length}\r\n\r\n${body}`,
    );
    assert.ok(![201, 409].includes(status(wrote)), climb);
    if (status(wrote) === 200) assert.equal(climb, 'link.yaml'); // the link itself is replaced, not what it points at
  }
  assert.deepEqual(readdirSync(outside).sort(), outsideBefore);
  assert.equal(readFileSync(join(outside, 'secret.yaml'), 'utf8'), secret);
});

test('a job from the page names no file outside the folder', async () => {
  const job = path => `swingtie: 1\nsite: {name: x, units: ft, crs: EPSG:3734}\nfeatures:\n  - {id: lot, kind: lot, file: {path: ${JSON.stringify(path)}}}\nruns: []\n`;
  const said = async path => {
    const {diagnostics} = await (await served.call('POST', '/api/answer', {text: job(path), name: 'inside/job.yaml'})).json();
    return JSON.stringify(diagnostics);
  };
  assert.doesNotMatch(await said('lots.geojson'), /outside the folder|cannot|no such/);
  for (const path of [join(outside, 'lots.geojson'), '../../' + outside.split('/').pop() + '/lots.geojson', 'link.geojson', '../way-out/lots.geojson'])
    assert.match(await said(path), /outside the folder/, path);
  for (const path of ['http://127.0.0.1:1/x.geojson', '/vsicurl/http://127.0.0.1:1/x.geojson', '/vsizip//etc/x.zip', 'PG:dbname=x'])
    assert.match(await said(path), /"error"/, path);
});

test('a photo from the page comes from the folder, and none is replaced', async () => {
  const picture = new Uint8Array([0xff, 0xd8, 0xff, 0xe0, 1]);
  assert.equal((await served.call('PUT', '/api/photos/photos/x.jpg', picture)).status, 201);
  assert.equal((await served.call('PUT', '/api/photos/photos/x.jpg', new Uint8Array([0xff, 0xd8, 0xff, 9]))).status, 409);
  assert.equal((await served.call('PUT', '/api/photos/photos/y.jpg', new TextEncoder().encode('<script>'))).status, 415);
  assert.deepEqual(new Uint8Array(await (await served.call('GET', '/api/photos/photos/x.jpg')).arrayBuffer()), picture);
  const text = sample('basement-house').replace('{at: 66.3,', `{at: 66.3, photo: ${JSON.stringify(join(outside, 'secret.jpg'))},`);
  const made = await served.call('POST', '/api/draw', {text, name: 'a.yaml', sheet: 'route', format: 'pdf'});
  assert.equal(made.status, 200);
  assert.ok(!Buffer.from(await made.arrayBuffer()).includes(Buffer.from([0xff, 0xd8, 0xff, 1, 2, 3])));
});

test('another site in the same browser gets nothing', async () => {
  const job = {'Sec-Fetch-Mode': 'cors'};
  for (const origin of ['http://evil.example', 'https://127.0.0.1', `http://127.0.0.1:${served.port + 1}`, 'null', `http://localhost:${served.port}`, `http://127.0.0.1.evil.example:${served.port}`]) {
    const answer = await get('/api/jobs', {Origin: origin, ...job});
    assert.equal(status(answer), 403, origin);
    assert.doesNotMatch(answer, /access-control-allow/i);
  }
  for (const host of ['evil.example', `evil.example:${served.port}`, '127.0.0.1', `127.0.0.1:${served.port}.evil.example`, ''])
    assert.equal(status(await get('/api/jobs', {Host: host})), 421, host);
  const preflight = await raw(
    `OPTIONS /api/jobs/a.yaml HTTP/1.1\r\nHost: 127.0.0.1:${served.port}\r\nOrigin: http://evil.example\r\nAccess-Control-Request-Method: PUT\r\nConnection: close\r\n\r\n`,
  );
  assert.ok(status(preflight) >= 400);
  assert.doesNotMatch(preflight, /access-control-allow/i);
});

test('without the key there is the empty page and no more', async () => {
  for (const key of ['', 'x', served.key.slice(1), served.key.toUpperCase() + ' ']) {
    for (const path of ['/api/jobs', '/api/jobs/a.yaml', '/api/schema', '/api/photos/photos/x.jpg'])
      assert.equal(status(await get(path, {'X-Swingtie-Token': key})), 401, `${path} with "${key}"`);
  }
  const page = await fetch(served.origin);
  assert.equal(page.status, 200);
  const policy = page.headers.get('Content-Security-Policy');
  assert.match(policy, /default-src 'none'/);
  assert.match(policy, /script-src 'self'/);
  assert.match(policy, /frame-ancestors 'none'/);
  assert.equal(page.headers.get('X-Content-Type-Options'), 'nosniff');
});

test('bodies too large, of no length or of no sense are refused, and the server lives', async () => {
  const head = `X-Swingtie-Token: ${served.key}\r\nHost: 127.0.0.1:${served.port}\r\nConnection: close\r\n`;
  assert.equal((await served.call('POST', '/api/answer', 'x'.repeat(5 << 20))).status, 413);
  assert.equal(status(await raw(`POST /api/answer HTTP/1.1\r\n${head}Transfer-Encoding: chunked\r\n\r\n5\r\nhello\r\n0\r\n\r\n`)), 411);
  assert.equal(status(await raw(`POST /api/answer HTTP/1.1\r\n${head}\r\n`)), 411);
  for (const body of ['', '{', '[]', '{"text": 5}', '{"text": "x", "name": "../x.yaml"}', '{"text": "\\ud800"}', '\xff\xfe'])
    assert.equal((await served.call('POST', '/api/answer', body)).status, 400, body);
  const bomb = 'a: &a [x,x,x,x,x,x,x,x,x]\nb: &b [*a,*a,*a,*a,*a,*a,*a,*a,*a]\nc: &c [*b,*b,*b,*b,*b,*b,*b,*b,*b]\nd: &d [*c,*c,*c,*c,*c,*c,*c,*c,*c]\ne: &e [*d,*d,*d,*d,*d,*d,*d,*d,*d]\nf: [*e,*e,*e,*e,*e,*e,*e,*e,*e]\n';
  for (const text of [bomb, '['.repeat(100_000), 'x'.repeat(1 << 20), '\u0000']) {
    const reply = await served.call('POST', '/api/answer', {text});
    assert.equal(reply.status, 200);
    const {answer, diagnostics} = await reply.json();
    assert.equal(answer, null);
    assert.ok(diagnostics.some(d => d.severity === 'error'));
  }
  for (const junk of ['\r\n\r\n', 'GET\r\n\r\n', 'GET / HTTP/9.9\r\n\r\n', `GET /${'a'.repeat(20_000)} HTTP/1.1\r\n\r\n`, '\x16\x03\x01\x02\x00']) await raw(junk);
  assert.equal((await served.call('GET', '/api/jobs')).status, 200);
});

test('the key is kept for the next start where nobody else can read it', () => {
  const files = readdirSync(join(served.state, 'swingtie'));
  assert.equal(files.length, 1);
  const listed = spawnSync('stat', ['-c', '%a', join(served.state, 'swingtie', files[0]), join(served.state, 'swingtie')]);
  assert.equal(String(listed.stdout), '600\n700\n');
});

test('at an address of the network the key is new each time, and the console warns', async t => {
  const address = Object.values(networkInterfaces()).flat().find(i => i?.family === 'IPv4' && !i.internal)?.address;
  if (!address) return t.skip('this machine has no other address');
  const other = new Served();
  other.folder = mkdtempSync(join(tmpdir(), 'swingtie-page-'));
  other.state = join(other.folder, '.state');
  mkdirSync(other.state);
  const keys = [];
  try {
    for (let i = 0; i < 2; i += 1) {
      await other.start(0, ['--address', address]);
      keys.push(other.key);
      assert.equal((await fetch(`${other.origin}/api/jobs`)).status, 401);
      assert.equal((await other.call('GET', '/api/jobs')).status, 200);
      assert.match(other.said, /warning: anybody on this network/);
      await other.kill();
    }
  } finally {
    await other.end();
  }
  assert.notEqual(keys[0], keys[1]);
});
