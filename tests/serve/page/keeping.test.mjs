// Nothing that was typed is lost: the program killed, the page reloaded or closed, two pages on one job.

import assert from 'node:assert/strict';
import {after, before, test} from 'node:test';

import {eventually, sample, Served} from './server.mjs';
import {startBrowser, Visitor} from './visitor.mjs';

let browser;
before(async () => {
  browser = await startBrowser();
});
after(() => browser?.close());

const name = 'basement-house/job.yaml';
const original = sample('basement-house');

async function open(v) {
  await v.press('basement-house');
  await v.settled();
}

async function addToLog(v, counter, words) {
  await v.step('Log');
  await v.type('Counter now', counter);
  await v.press('See');
  await v.type('In words', words);
  await v.press('Write it down');
}

/** Lines of the saved text that the original does not have, and the other way round. */
function changes(text) {
  const without = (a, b) => a.split('\n').filter(line => !b.split('\n').includes(line));
  return {added: without(text, original).map(l => l.trim()), gone: without(original, text).map(l => l.trim())};
}

async function withJob(work) {
  const served = await Served.begin({[name]: original});
  try {
    await work(served);
  } finally {
    await served.end();
  }
}

test('an edit changes its own line; comments, order and layout of the file stay', () =>
  withJob(async served => {
    const v = await Visitor.come(browser, served, 'phone');
    await open(v);
    await addToLog(v, '40.5', 'roots at joint');
    await v.step('Locates');
    await v.hit(v.page.getByRole('button', {name: /^17\.3/}));
    await v.type('Depth, receiver along the pipe', '6.8');
    await v.settled();
    await eventually(() => assert.deepEqual(changes(served.text(name)), {
      added: ['- {at: 40.5, see: roots at joint}', '- {at: 17.3, position: {ties: {house.sw: 15\'0", house.se: 25\'11"}, side: toward curb}, depth: 6.8}'],
      gone: ['- {at: 17.3, position: {ties: {house.sw: 15\'0", house.se: 25\'11"}, side: toward curb}, depth: 6.7}'],
    }));
    await v.press('Undo');
    await v.press('Undo');
    await v.settled();
    await eventually(() => assert.equal(served.text(name), original));
    await v.press('Redo');
    await v.settled();
    await eventually(() => assert.deepEqual(changes(served.text(name)).added, ['- {at: 40.5, see: roots at joint}']));
    await v.leave();
  }));

test('with the program killed one goes on, and all is on the disk once it is back', () =>
  withJob(async served => {
    const v = await Visitor.come(browser, served, 'phone');
    await open(v);
    await served.kill();
    await addToLog(v, '40.5', 'roots at joint');
    await addToLog(v, '44', 'crack');
    await v.says('kept in this browser');
    assert.equal(served.text(name), original);
    await served.start();
    await v.settled();
    await eventually(() => assert.deepEqual(changes(served.text(name)).added, ['- {at: 40.5, see: roots at joint}', '- {at: 44, see: crack}']));
    await v.leave();
  }));

test('what was typed while the program was gone outlives the page, and joins what others wrote meanwhile', () =>
  withJob(async served => {
    const v = await Visitor.come(browser, served, 'desktop');
    await open(v);
    await served.kill();
    await addToLog(v, '40.5', 'roots at joint');
    await v.says('kept in this browser');
    await v.page.close();
    served.put(name, original.replace('R. Okafor', 'R. Okafor and M. Lindqvist'));
    await served.start();
    const again = await Visitor.come(browser, served, 'desktop', v.context);
    await again.press('basement-house not on the disk yet');
    await again.says('What you had typed was joined with a change made elsewhere.');
    await again.settled();
    await eventually(() => assert.deepEqual(changes(served.text(name)).added, ['by: R. Okafor and M. Lindqvist', '- {at: 40.5, see: roots at joint}']));
    await again.leave();
    await v.context.close();
  }));

test('a word half typed and a form half filled outlive a reload', () =>
  withJob(async served => {
    const v = await Visitor.come(browser, served, 'phone');
    await open(v);
    await v.step('Log');
    await v.type('Counter now', '52.5');
    await v.step('Lot');
    await v.hit(v.field('By'));
    await v.page.keyboard.press('End');
    await v.page.keyboard.type(' and a help');
    await v.page.reload();
    await v.settled();
    assert.equal(await v.field('By').inputValue(), 'R. Okafor and a help');
    await eventually(() => assert.match(served.text(name), /by: R\. Okafor and a help/));
    await v.step('Log');
    assert.equal(await v.field('Counter now').inputValue(), '52.5');
    await v.leave();
  }));

test('two tabs on one job both keep what they write, and see it', () =>
  withJob(async served => {
    const a = await Visitor.come(browser, served, 'desktop');
    const b = await Visitor.come(browser, served, 'desktop', a.context);
    await Promise.all([open(a), open(b)]);
    await addToLog(a, '40.5', 'roots at joint');
    await b.step('Lot');
    await b.type('By', 'B. Tab');
    await Promise.all([a.settled(), b.settled()]);
    await eventually(() => assert.deepEqual(changes(served.text(name)).added, ['by: B. Tab', '- {at: 40.5, see: roots at joint}']));
    await a.page.bringToFront();
    await a.step('Lot');
    await a.page.waitForFunction(() => document.querySelector('main')?.querySelectorAll('input')[2]?.value === 'B. Tab');
    await a.leave();
    await b.leave();
  }));

test('where both wrote the same note one is asked which shall stand, and either answer can be undone', () =>
  withJob(async served => {
    for (const choice of ['What was said here', 'What was said elsewhere']) {
      served.put(name, original);
      const v = await Visitor.come(browser, served, 'phone');
      await open(v);
      await served.kill();
      await v.step('Lot');
      await v.type('By', 'the one here');
      await v.says('kept in this browser');
      served.put(name, original.replace('by: R. Okafor', 'by: another').replace('units: ft', 'units: us-ft'));
      await served.start();
      const dialog = v.page.getByRole('dialog', {name: 'The same note was changed in two places'});
      await dialog.waitFor();
      await v.look('clash');
      assert.match(await dialog.innerText(), /by: the one here[^]*by: another/);
      await v.press(choice);
      await v.settled();
      const [stands, other] = choice === 'What was said here' ? ['the one here', 'another'] : ['another', 'the one here'];
      // The change that clashed with nothing is kept either way.
      await eventually(() => assert.deepEqual(changes(served.text(name)).added, ['units: us-ft', `by: ${stands}`]));
      await v.press('Undo');
      await v.settled();
      await eventually(() => assert.deepEqual(changes(served.text(name)).added, ['units: us-ft', `by: ${other}`]));
      await v.leave();
    }
  }));
