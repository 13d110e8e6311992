// The first sample, made from nothing as an inspector would make it: by taps and typing, on a telephone and at a desk.

import assert from 'node:assert/strict';
import {readFileSync} from 'node:fs';
import {after, before, test} from 'node:test';

import {eventually, sample, Served, swingtie} from './server.mjs';
import {startBrowser, Visitor} from './visitor.mjs';

let browser;
before(async () => {
  browser = await startBrowser();
});
after(() => browser?.close());

const ties = (fl, fr) => ({fl, fr});
const readings = [
  [17.3, ties('15', '25-11'), '6.7'],
  [26.9, ties('19 9', '35 3'), '6.7'],
  [35.4, ties("26'5", '43\'8"'), '7.3'],
  [49.8, {go: '38.9', left: '0.3'}, '7.3'],
  [63.8, {go: '38.9', right: '12.2'}, '7.7'],
];

async function lot(v) {
  await v.type('By', 'R. Okafor');
  await v.field('Inspected on').fill('2026-04-18');
  await v.press('Deed');
  await v.hit(v.field('Courses of the deed, one a line'));
  await v.page.keyboard.type('N 12 15 00 E 118.00\nS 77 45 00 E 60.00\nS 12 15 00 W 118.00\nN 77 45 00 W 60.00');
  await v.look('1-lot-deed');
  await v.press('Plot the deed');
  if (v.size === 'phone') {
    await v.press('Tap that side on the map');
    await v.tapPlan(0.45, 0.8);
  } else {
    await v.pick('Or by its corners', '4 to 1');
  }
  await v.type('Front lot line out to the curb', '12');
  await v.type('Curb back to the right-of-way line', '12');
  await v.type('Front lot line out to the city main', '28');
  await v.press('Draw them');
  await v.pick('Stand at', 'lot, 1');
  await v.type('Latitude there', '40.87313');
  await v.type('Longitude there', '-83.04619');
  await v.press('Place the lot');
  await v.settled();
  await v.look('1-lot');
}

async function house(v) {
  await v.step('House');
  await v.type("Along the front, from the lot's left corner", "14'");
  await v.type('Back from the front line', '30');
  await v.type('House across', '30');
  await v.type('House front to back', '26');
  await v.look('2-house-typed');
  await v.press('Draw the house');
  await v.says('The house is drawn.');
  await v.settled();
  await v.look('2-house');
}

async function marks(v) {
  await v.step('Marks');
  await v.press('tree');
  await v.look('3-marks-tap');
  await v.tapPlan(0.3, 0.7);
  await v.type('Name', 'silver maple');
  await v.press('By tapes');
  await v.type('Tape 1 reads', '23 8');
  await v.type('Tape 2 reads', '32 8');
  await v.type('Trunk, at breast height', '22 in');
  await v.type('Crown, across', '34');
  await v.settled();
  await v.look('3-marks-tree');
  await v.press('hydrant');
  await v.tapPlan(0.65, 0.7);
  await v.press('water');
  await v.tapPlan(0.6, 0.72);
  await v.tapPlan(0.58, 0.55);
  await v.press('Done');
  await v.press('water water');
  await v.type('Depth of cover', '4.5');
  await v.type('Known to within', '2');
  await v.settled();
  await v.look('3-marks');
}

async function access(v) {
  await v.step('Camera in');
  await v.look('4-camera-begin');
  await v.press('Begin the first run');
  await v.press('Along & out');
  await v.pick('Along', 'house, front left to front right');
  await v.type('Go, from its first end', '9');
  await v.press('in');
  await v.type('By', '3');
  await v.type('What it goes in at', 'basement floor clean-out');
  await v.type('Ground down to the pipe', '1.2');
  await v.type('The spot is sure to within', '0.5');
  await v.type('Transmitter behind the lens', '11 in');
  await v.settled();
  await v.look('4-camera-in');
}

async function log(v, served) {
  await v.step('Log');
  await v.type('Counter now', '0');
  await v.press('Pipe');
  await v.look('5-log-pipe');
  await v.press('4 in cast iron');
  await v.type('Counter now', '15.1');
  await v.press('Bend');
  await v.look('5-log-bend');
  await v.press('↰ left'); // as in the notes of the day; the pipe bends right
  await v.settled();

  // The program dies; the camera does not wait for it.
  await served.kill();
  await v.type('Counter now', '19.7');
  await v.press('Pipe');
  await v.press('6 in clay');
  await v.says('kept in this browser');
  await v.look('5-log-stopped');
  await v.type('Counter now', '30.2');
  await v.press('See');
  await v.type('In words', 'joint offset 1 1/4 in, soil washing in');
  await v.press('dig');
  await v.look('5-log-see');
  await v.press('Write it down');
  await served.start();

  await v.type('Counter now', '34.7');
  await v.press('Bend');
  await v.press('↰ left');
  await v.type('Counter now', '66.3');
  await v.press('End');
  await v.press('city main');
  await v.settled();
  await v.look('5-log');
}

async function locate(v, position, depth) {
  const {fl, fr, go, ...off} = position;
  if (fl !== undefined) {
    await v.press('By tapes');
    await v.pick('Tape 1 from', 'house, front left');
    await v.pick('Tape 2 from', 'house, front right');
    await v.type('Tape 1 reads', fl);
    await v.type('Tape 2 reads', fr);
  } else {
    const [hand, by] = Object.entries(off)[0];
    await v.press('Along & out');
    await v.pick('Along', 'curb');
    await v.type('Go, from its first end', go);
    await v.press(hand);
    await v.type('By', by);
  }
  await v.type('Depth, receiver along the pipe', depth);
}

async function locates(v) {
  await v.step('Locates');
  for (const [counter, position, depth] of readings) {
    await v.type('Counter of a new locate', counter);
    await v.press('Add it');
    await locate(v, position, depth);
  }
  await v.settled();
  await v.look('6-locates');
}

/** Where the pipe lies at a counter, by the sample itself: tapes from the two front corners of its house. */
async function tapesAt(served, counter) {
  const {view, answer} = await (await served.call('POST', '/api/answer', {text: sample('basement-house')})).json();
  const items = answer.items.map(i => [i.at, i.station]).sort((a, b) => a[0] - b[0]);
  const station = between(items, counter, 1);
  const points = answer.lines[0].stations.map(s => [s.station, s.e, s.n]);
  const at = [between(points, station, 1), between(points, station, 2)];
  const corner = name => view.features.find(f => f.id === 'house').corners.find(c => c.name === name).at;
  const tape = name => Math.hypot(at[0] - corner(name)[0], at[1] - corner(name)[1]).toFixed(1);
  return {...ties(tape('sw'), tape('se')), depth: between(answer.lines[0].stations.map(s => [s.station, s.depth]), station, 1).toFixed(1)};
}

function between(rows, x, column) {
  const i = Math.max(1, rows.findIndex(r => r[0] >= x));
  const [a, b] = [rows[i - 1], rows[i]];
  return a[column] + ((x - a[0]) / (b[0] - a[0])) * (b[column] - a[column]);
}

async function answer(v, served) {
  await v.step('Answer');
  await v.says('A note looks wrong.');
  const blame = v.page.locator('.blame');
  assert.match(await blame.innerText(), /over 99 %.*bend.*right/s);
  await v.look('7-answer-wrong-hand');
  await v.press('Open that note');
  await v.look('5-log-entry');
  assert.equal(await v.page.getByRole('button', {name: '↰ left'}).getAttribute('aria-pressed'), 'true');
  await v.press('right ↱');
  await v.step('Answer');
  await v.says('The readings agree.');

  const suggested = v.page.getByRole('button', {name: /^Locate at/}).first();
  const counter = Number((await suggested.innerText()).replace('Locate at', ''));
  await v.hit(suggested);
  await eventually(async () => assert.equal(await v.field('Counter of a new locate').inputValue(), String(counter)));
  await v.press('Add it');
  const {fl, fr, depth} = await tapesAt(served, counter);
  await locate(v, ties(fl, fr), depth);
  await v.settled();
  await v.look('6-locates-suggested');
  await v.step('Answer');
  await v.says('The readings agree.');
  assert.equal(await v.page.getByRole('button', {name: `Locate at ${counter}`, exact: true}).count(), 0);
  await v.look('7-answer');
}

async function download(v, button) {
  const [got] = await Promise.all([v.page.waitForEvent('download'), v.press(button)]);
  return {name: got.suggestedFilename(), bytes: readFileSync(await got.path())};
}

/** What the page hands out and what the command line makes of the saved file are the same bytes. */
async function handOver(v, served, name) {
  const job = served.path(`${name}.yaml`);
  const byCommand = (...args) => {
    const made = swingtie(...args);
    assert.equal(made.code, 0, made.said);
    return made.out;
  };
  for (const [reader, sheet] of Object.entries({'the excavator': 'dig', 'the buyer': 'route', 'the city': 'boundary'})) {
    await v.press(reader);
    const pdf = await download(v, '↓ Sheet as PDF');
    assert.equal(pdf.name, `${name}-${sheet}.pdf`);
    assert.equal(pdf.bytes.subarray(0, 5).toString(), '%PDF-');
    assert.ok(pdf.bytes.equals(byCommand('draw', job, '--sheet', sheet, '--as', 'pdf', '-o', '-')), sheet);
  }
  const full = await download(v, '↓ All sheets');
  assert.ok(full.bytes.equals(byCommand('draw', job, '--sheet', 'full', '--as', 'pdf', '-o', '-')));
  const data = await download(v, '↓ GeoJSON');
  assert.equal(data.name, `${name}.geojson`);
  assert.ok(data.bytes.equals(byCommand('export', job, '--as', 'geojson', '-o', '-')));
  assert.equal(JSON.parse(data.bytes).type, 'FeatureCollection');
  assert.equal(swingtie('check', job).code, 0);
}

for (const size of ['phone', 'desktop']) {
  test(`the first sample is made from nothing by taps and typing, ${size}`, async () => {
    const served = await Served.begin();
    try {
      const v = await Visitor.come(browser, served, size);
      await v.look('0-jobs');
      await v.type('A new lot: its address', '14 Alder Court');
      await v.says('The lot');
      await lot(v);
      await house(v);
      await marks(v);
      await access(v);
      await log(v, served);
      await locates(v);
      await answer(v, served);
      await handOver(v, served, '14-alder-court');
      await v.press('Dig sheet');
      await v.page.getByRole('img', {name: /^Sheet 1/}).waitFor();
      await v.look('8-sheet');
      await v.press('Map');
      await v.step('Job file');
      await v.look('9-job-file');
      await v.leave();
    } finally {
      await served.end();
    }
  });
}
