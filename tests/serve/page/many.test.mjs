// Fifty people at once on one server, each with a job; and how long one of them waits for the answer.

import assert from 'node:assert/strict';
import {test} from 'node:test';

import {sample, Served} from './server.mjs';

const clients = 50;
const edits = 8;
const original = sample('basement-house');
const withEntry = (text, counter, words) => text.replace(/^( +)- \{at: 66\.3, end/m, `$1- {at: ${counter}, see: ${words}}\n$&`);
const median = times => [...times].sort((a, b) => a - b)[times.length >> 1];

async function good(response) {
  assert.ok(response.ok, `${response.status} ${response.url}`);
  return response.json();
}

test(`${clients} clients edit ${clients} jobs at once: no error, no lost save`, async () => {
  const names = Array.from({length: clients}, (_, i) => `lot-${i}/job.yaml`);
  const served = await Served.begin(Object.fromEntries(names.map(n => [n, original])));
  const waits = {save: [], answer: []};
  const timed = async (what, call) => {
    const began = performance.now();
    const reply = await good(await call());
    waits[what].push(performance.now() - began);
    return reply;
  };
  try {
    const began = performance.now();
    await Promise.all(
      names.map(async (name, client) => {
        let {text, version} = await good(await served.call('GET', `/api/jobs/${name}`));
        for (let edit = 0; edit < edits; edit += 1) {
          text = withEntry(text, 40 + edit, `client ${client} edit ${edit}`);
          ({version} = await timed('save', () => served.call('PUT', `/api/jobs/${name}`, {text, base_version: version})));
          const {answer} = await timed('answer', () => served.call('POST', '/api/answer', {name, text}));
          assert.equal(answer.verdict.kind, 'agree');
        }
      }),
    );
    const seconds = (performance.now() - began) / 1000;
    for (const [client, name] of names.entries()) {
      for (let edit = 0; edit < edits; edit += 1) assert.match(served.text(name), new RegExp(`see: client ${client} edit ${edit}}`));
    }
    console.log(
      `${clients} clients, ${clients * edits} saves and as many answers in ${seconds.toFixed(1)} s; ` +
        `a save waits ${median(waits.save).toFixed(0)} ms in the middle and ${Math.max(...waits.save).toFixed(0)} ms at most, an answer ${median(waits.answer).toFixed(0)} and ${Math.max(...waits.answer).toFixed(0)} ms`,
    );
  } finally {
    await served.end();
  }
});

test('fifty clients on one job: each save is taken or told of the newer text, and none is lost', async () => {
  const served = await Served.begin({'a.yaml': original});
  let refused = 0;
  try {
    await Promise.all(
      Array.from({length: clients}, async (_, client) => {
        for (;;) {
          const {text, version} = await good(await served.call('GET', '/api/jobs/a.yaml'));
          const reply = await served.call('PUT', '/api/jobs/a.yaml', {text: withEntry(text, 40, `client ${client}`), base_version: version});
          if (reply.status === 200) return;
          assert.equal(reply.status, 409);
          refused += 1;
        }
      }),
    );
    const saved = served.text('a.yaml');
    for (let client = 0; client < clients; client += 1) assert.match(saved, new RegExp(`see: client ${client}}`));
    assert.equal(saved.split('\n').length, original.split('\n').length + clients);
    console.log(`${clients} clients on one job: ${refused} saves were told of a newer text and tried again`);
  } finally {
    await served.end();
  }
});

test('how long the answer to a job of four locates takes (printed, not judged)', async () => {
  const fourLocates = original.replace(/^ +- \{at: 63\.8.*\n/m, '');
  assert.equal(fourLocates.match(/position: \{/g).length, 4);
  const served = await Served.begin({'a.yaml': fourLocates});
  const times = {answer: [], draw: []};
  try {
    for (let i = 0; i < 15; i += 1) {
      for (const what of ['answer', 'draw']) {
        const began = performance.now();
        const reply = await good(await served.call('POST', `/api/${what}`, {name: 'a.yaml', text: withEntry(fourLocates, 40 + i, 'roots')}));
        times[what].push(performance.now() - began);
        assert.ok(what === 'draw' ? reply.pages.length > 0 : reply.answer.verdict);
      }
    }
    console.log(`an answer to 4 locates takes ${median(times.answer).toFixed(1)} ms in the middle of 15 (least ${Math.min(...times.answer).toFixed(1)}); a sheet ${median(times.draw).toFixed(1)} ms`);
  } finally {
    await served.end();
  }
});
