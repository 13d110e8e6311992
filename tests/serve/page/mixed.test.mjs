// Everything the server makes, asked for at once: sheets, data files of every format, words, jobs that read map files.

import assert from 'node:assert/strict';
import {copyFileSync, mkdirSync} from 'node:fs';
import {join} from 'node:path';
import {test} from 'node:test';

import {sample, Served, source} from './server.mjs';

const formats = ['geojson', 'gpkg', 'dxf', 'kml', 'gpx', 'csv', 'shp.zip', 'fgb'];
const rounds = 3;

test('twelve clients who each ask for something else get what one alone gets', async () => {
  const jobs = {'on-a-grid/job.yaml': sample('row-house'), 'anchored/job.yaml': sample('basement-house')};
  const served = await Served.begin(jobs);
  copyFileSync(join(source, 'samples/row-house/parcels.gpkg'), served.path('on-a-grid/parcels.gpkg'));
  try {
    const wishes = Object.entries(jobs).flatMap(([name, text]) => [
      ...formats.map(format => ['/api/export', {name, text, format}]),
      ...['pdf', 'svg', 'html'].map(format => ['/api/draw', {name, text, format}]),
      ['/api/tell', {name, text, for: 'buyer'}],
      ['/api/answer', {name, text}],
    ]);
    const made = async ([path, body]) => {
      const response = await served.call('POST', path, body);
      assert.equal(response.status, 200, `${path} ${body.format ?? ''} of ${body.name}`);
      return Buffer.from(await response.arrayBuffer());
    };
    const alone = [];
    for (const wish of wishes) alone.push(await made(wish));
    const orders = Array.from({length: 12}, (_, client) => wishes.map((_, i) => (i * 5 + client * 7) % wishes.length));
    await Promise.all(
      orders.map(async order => {
        for (let round = 0; round < rounds; round += 1)
          for (const i of order.slice(round * 8, round * 8 + 8)) assert.ok(alone[i].equals(await made(wishes[i])), `${wishes[i][0]} ${wishes[i][1].format ?? ''}`);
      }),
    );
  } finally {
    await served.end();
  }
});

test('a machine without the list of coordinate systems says so, and goes on', async () => {
  const text = sample('slab-house');
  const served = await Served.begin({'job.yaml': text});
  const before = process.env.PROJ_DATA;
  try {
    await served.kill();
    process.env.PROJ_DATA = served.path('empty');
    mkdirSync(process.env.PROJ_DATA);
    await served.start();
    const response = await served.call('POST', '/api/answer', {name: 'job.yaml', text});
    assert.equal(response.status, 500);
    assert.match((await response.json()).error, /proj\.db, cannot be used .* install the package proj-data/);
    assert.equal((await served.call('POST', '/api/answer', {text: sample('basement-house')})).status, 200);
  } finally {
    if (before === undefined) delete process.env.PROJ_DATA;
    else process.env.PROJ_DATA = before;
    await served.end();
  }
});
