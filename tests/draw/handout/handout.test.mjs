// The hand-out as its reader meets it: a file opened in a real Chromium, on a telephone and at a desk, without a network.

import assert from 'node:assert/strict';
import {execFileSync} from 'node:child_process';
import {existsSync, mkdirSync, mkdtempSync, readFileSync, rmSync} from 'node:fs';
import {createRequire} from 'node:module';
import {tmpdir} from 'node:os';
import {join} from 'node:path';
import {after, before, test} from 'node:test';
import {pathToFileURL} from 'node:url';

import {chromium} from 'playwright-core';

const {SWINGTIE: swingtie, SWINGTIE_SOURCE_DIR: source, CHROMIUM: program = '', SHOTS: shots = ''} = process.env;
const axe = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');
const sizes = {
  phone: {viewport: {width: 360, height: 740}, deviceScaleFactor: 2, hasTouch: true, isMobile: true},
  desktop: {viewport: {width: 1440, height: 900}},
};
if (!existsSync(program)) {
  console.log('skipped: there is no Chromium on this machine');
  process.exit(0);
}

let folder;
let file;
let browser;

before(async () => {
  folder = mkdtempSync(join(tmpdir(), 'swingtie-handout-'));
  file = join(folder, 'handout.html');
  execFileSync(swingtie, ['draw', join(source, 'samples/basement-house/job.yaml'), '-o', file, '--sheet', 'full'], {stdio: 'pipe'});
  browser = await chromium.launch({executablePath: program, args: ['--disable-gpu', '--disable-background-networking']});
  if (shots) mkdirSync(shots, {recursive: true});
});
after(async () => {
  await browser?.close();
  rmSync(folder, {recursive: true, force: true});
});

/** Runs a visit and then asserts that nothing failed out of sight and nothing was asked of a network. */
async function visit(size, work) {
  const context = await browser.newContext(sizes[size]);
  const page = await context.newPage();
  const trouble = [];
  page.on('pageerror', error => trouble.push(String(error)));
  page.on('console', message => message.type() === 'error' && trouble.push(message.text()));
  page.on('request', request => !/^(file|data):/.test(request.url()) && trouble.push(`asked for ${request.url()}`));
  await page.goto(pathToFileURL(file).href);
  await work(page, context);
  assert.deepEqual(trouble, []);
  await context.close();
}

const place = page => page.evaluate(() => {
  const b = [...document.querySelectorAll('#view > svg')].find(s => !s.hasAttribute('hidden')).getBoundingClientRect();
  return {x: b.x, y: b.y, width: b.width, height: b.height};
});
const middle = async locator => {
  const b = await locator.boundingBox();
  return {x: b.x + b.width / 2, y: b.y + b.height / 2};
};

for (const size of Object.keys(sizes)) {
  test(`${size}: the whole sheet is seen at first, and the page does not scroll sideways`, () =>
    visit(size, async page => {
      const view = await page.locator('#view').boundingBox();
      const sheet = await place(page);
      assert.ok(sheet.x >= view.x && sheet.y >= view.y, 'begins inside the view');
      assert.ok(sheet.x + sheet.width <= view.x + view.width + 1 && sheet.y + sheet.height <= view.y + view.height + 1, 'ends inside the view');
      assert.ok(sheet.width > 0.85 * view.width || sheet.height > 0.85 * view.height, 'fills the view');
      assert.ok(await page.evaluate(() => document.documentElement.scrollWidth <= innerWidth), 'no wider than the screen');
      if (shots) await page.screenshot({path: join(shots, `${size}.png`)});
    }));

  test(`${size}: an accessibility scan finds nothing serious`, () =>
    visit(size, async page => {
      await page.evaluate(axe);
      const found = await page.evaluate(() => globalThis.axe.run({resultTypes: ['violations']}));
      const bad = found.violations.filter(v => ['serious', 'critical'].includes(v.impact)).map(v => `${v.id}: ${v.help}; ${v.nodes.slice(0, 3).map(n => n.html.slice(0, 120)).join(' | ')}`);
      assert.deepEqual(bad, []);
    }));

  test(`${size}: buttons are large enough for a finger and have names`, () =>
    visit(size, async page => {
      for (const button of await page.locator('button:visible, select:visible').all()) {
        const b = await button.boundingBox();
        assert.ok(b.width >= 44 && b.height >= 44, `${await button.evaluate(e => e.outerHTML.slice(0, 80))} is ${b.width} × ${b.height}`);
      }
      assert.ok(await page.getByRole('button', {name: 'zoom in'}).isVisible());
      assert.ok(await page.getByRole('button', {name: 'whole sheet'}).isVisible());
    }));

  test(`${size}: zoomed by the buttons about the middle, and back to the whole sheet`, () =>
    visit(size, async page => {
      const first = await place(page);
      await page.getByRole('button', {name: 'zoom in'}).click();
      const larger = await place(page);
      assert.ok(Math.abs(larger.width / first.width - 1.4) < 0.01);
      await page.getByRole('button', {name: 'whole sheet'}).click();
      assert.ok(Math.abs((await place(page)).width - first.width) < 0.5);
    }));

  test(`${size}: a tap on a mark tells its words, on its card the finger finds it again`, () =>
    visit(size, async page => {
      const mark = page.locator('#s1-item-1');
      const at = await middle(mark);
      await (size === 'phone' ? page.touchscreen.tap(at.x, at.y) : page.mouse.click(at.x, at.y));
      const said = await page.locator('#said').textContent();
      assert.match(said, /joint offset 1 1\/4 in|window|holds the point/);
      const seen = page.locator('#list button', {hasText: 'joint offset'}).first();
      await seen.click();
      assert.match(await page.locator('#said').textContent(), /joint offset 1 1\/4 in, soil washing in, 6\.\d ft deep \(\d\.\d–\d\.\d\)/);
      const view = await page.locator('#view').boundingBox();
      const now = await middle(mark);
      assert.ok(now.x > view.x && now.x < view.x + view.width && now.y > view.y && now.y < view.y + view.height, 'brought into view');
    }));

  test(`${size}: by keyboard alone: reached, moved, zoomed, and an item of the list chosen`, () =>
    visit(size, async page => {
      for (let k = 0; k < 8; ++k) {
        await page.keyboard.press('Tab');
        if (await page.evaluate(() => document.activeElement?.id === 'view')) break;
      }
      assert.equal(await page.evaluate(() => document.activeElement?.id), 'view');
      const first = await place(page);
      await page.keyboard.press('ArrowLeft');
      assert.ok((await place(page)).x > first.x, 'moved');
      await page.keyboard.press('+');
      assert.ok((await place(page)).width > first.width, 'zoomed in');
      await page.keyboard.press('0');
      assert.ok(Math.abs((await place(page)).width - first.width) < 0.5, 'whole again');
      // From the sheet's own links on to the list.
      for (let k = 0; k < 80; ++k) {
        await page.keyboard.press('Tab');
        if (await page.evaluate(() => document.activeElement?.closest('#list') !== null)) break;
      }
      await page.keyboard.press('Enter');
      assert.notEqual(await page.locator('#said').textContent(), 'Its words appear here.');
    }));

  test(`${size}: another sheet of the set is chosen`, () =>
    visit(size, async page => {
      await page.locator('#sheet').selectOption({index: 1});
      const shown = await page.evaluate(() => [...document.querySelectorAll('#view > svg')].map(s => !s.hasAttribute('hidden')));
      assert.deepEqual(shown, shown.map((_, k) => k === 1));
      assert.ok(shown.length >= 3, 'a dig, a route and a boundary sheet');
      assert.match(await page.locator('#list').textContent(), /joint offset/);
    }));
}

test('desktop: dragged by the mouse and zoomed by the wheel about the pointer', () =>
  visit('desktop', async page => {
    const view = await page.locator('#view').boundingBox();
    const first = await place(page);
    const x = view.x + view.width / 2, y = view.y + view.height / 2;
    await page.mouse.move(x, y);
    await page.mouse.down();
    await page.mouse.move(x + 80, y + 30, {steps: 4});
    await page.mouse.up();
    const moved = await place(page);
    assert.ok(Math.abs(moved.x - first.x - 80) < 1 && Math.abs(moved.y - first.y - 30) < 1);
    await page.mouse.wheel(0, -200);
    await page.waitForFunction(before => document.querySelector('#view > svg:not([hidden])').getBoundingClientRect().width > before + 1, moved.width);
    const larger = await place(page);
    const share = (p, at, length) => (at - p) / length;
    // What lay under the pointer lies there still.
    assert.ok(Math.abs(share(moved.x, x + 80, moved.width) - share(larger.x, x + 80, larger.width)) < 0.002);
  }));

test('phone: dragged by one finger, spread by two', () =>
  visit('phone', async (page, context) => {
    const hand = await context.newCDPSession(page);
    const touch = (type, touchPoints) => hand.send('Input.dispatchTouchEvent', {type, touchPoints});
    const view = await page.locator('#view').boundingBox();
    const x = Math.round(view.x + view.width / 2), y = Math.round(view.y + view.height / 2);
    const first = await place(page);
    await touch('touchStart', [{x, y, id: 1}]);
    for (let k = 1; k <= 6; ++k) await touch('touchMove', [{x: x + 10 * k, y: y + 5 * k, id: 1}]);
    await touch('touchEnd', []);
    const moved = await place(page);
    assert.ok(Math.abs(moved.x - first.x - 60) < 2 && Math.abs(moved.y - first.y - 30) < 2);
    await touch('touchStart', [{x: x - 30, y, id: 1}, {x: x + 30, y, id: 2}]);
    for (let k = 1; k <= 6; ++k) await touch('touchMove', [{x: x - 30 - 5 * k, y, id: 1}, {x: x + 30 + 5 * k, y, id: 2}]);
    await touch('touchEnd', []);
    const larger = await place(page);
    assert.ok(Math.abs(larger.width / moved.width - 2) < 0.1, `spread to ${larger.width / moved.width}`);
    await page.screenshot(shots ? {path: join(shots, 'phone-spread.png')} : {});
  }));
