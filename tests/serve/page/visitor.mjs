// Somebody with a telephone or at a desk, in a real Chromium.

import {existsSync, mkdirSync, readFileSync} from 'node:fs';
import {createRequire} from 'node:module';
import assert from 'node:assert/strict';
import {join} from 'node:path';

import {chromium} from 'playwright-core';

const program = process.env.CHROMIUM ?? '';
const shots = process.env.SHOTS ?? '';
const axe = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');

/** What a thumb in a glove hits, in CSS pixels. */
const smallestTarget = 48;

export const sizes = {
  phone: {viewport: {width: 360, height: 740}, deviceScaleFactor: 2, hasTouch: true, isMobile: true},
  desktop: {viewport: {width: 1440, height: 900}},
};

/** A started Chromium; ends the test as skipped where there is none. */
export async function startBrowser() {
  if (!existsSync(program)) {
    console.log('skipped: there is no Chromium on this machine');
    process.exit(0);
  }
  return chromium.launch({executablePath: program, args: ['--disable-gpu', '--disable-background-networking', '--disable-component-update', '--disable-sync']});
}

export class Visitor {
  /** @param {'phone' | 'desktop'} size */
  static async come(browser, served, size, context = undefined) {
    const visitor = new Visitor();
    visitor.size = size;
    visitor.own = context === undefined;
    visitor.context = context ?? (await browser.newContext({...sizes[size], acceptDownloads: true, serviceWorkers: 'block'}));
    visitor.page = await visitor.context.newPage();
    visitor.page.setDefaultTimeout(30_000);
    visitor.trouble = [];
    visitor.page.on('pageerror', error => visitor.trouble.push(String(error)));
    visitor.page.on('console', message => message.type() === 'error' && !/Failed to load resource/.test(message.text()) && visitor.trouble.push(message.text()));
    visitor.page.on('request', request => {
      const at = new URL(request.url());
      const here = at.origin === served.origin || at.protocol === 'data:' || at.protocol === 'blob:';
      if (!here) visitor.trouble.push(`asked for ${at.href}`);
    });
    await visitor.page.goto(served.url);
    return visitor;
  }

  /** Nothing may have gone wrong out of sight, and nothing may have been asked of another machine. */
  async leave() {
    assert.deepEqual(this.trouble, []);
    if (this.own) await this.context.close();
    else await this.page.close();
  }

  async hit(locator) {
    if (this.size === 'phone') await locator.tap();
    else await locator.click();
  }

  /** Presses a button by its whole name. @param inside  where to look for it */
  async press(name, inside = this.page) {
    await this.hit(inside.getByRole('button', {name, exact: true}));
  }

  async step(name) {
    await this.press(name, this.page.getByRole('navigation'));
    await this.page.getByRole('heading', {level: 1, name, exact: true}).waitFor();
  }

  field(label, inside = this.page.getByRole('main')) {
    return inside.getByLabel(label, {exact: true});
  }

  /** Puts the caret into a field, takes out what is there, types letter by letter and presses Enter. */
  async type(label, text, inside = undefined) {
    const field = this.field(label, inside);
    await this.hit(field);
    await this.page.keyboard.press('Control+A');
    await this.page.keyboard.type(String(text));
    await this.page.keyboard.press('Enter');
  }

  async pick(label, option, inside = undefined) {
    await this.field(label, inside).selectOption(option);
  }

  /** Taps the plan. @param right, down  parts of its width and height */
  async tapPlan(right, down) {
    const box = await this.page.getByRole('application').boundingBox();
    const at = [box.x + box.width * right, box.y + box.height * down];
    if (this.size === 'phone') await this.page.touchscreen.tap(...at);
    else await this.page.mouse.click(...at);
    // A second tap within this time would be a double tap, which zooms.
    await this.page.waitForTimeout(320);
  }

  async says(words) {
    await this.page.getByText(words).first().waitFor();
  }

  /** Waits until what was typed is on the disk and the engine has answered for it. */
  async settled() {
    // The page shows a change a moment after the tap that made it.
    await this.page.waitForTimeout(50);
    await this.page.locator('.safety.saved').waitFor();
    await this.page.locator('header [aria-busy=false]').waitFor();
    await this.page.waitForTimeout(200);
    await this.page.locator('header [aria-busy=false]').waitFor();
  }

  /** Looks at the page as it is, by day and by night: pictures, accessibility, sizes. What is wrong is told on leaving. */
  async look(name) {
    for (const colorScheme of ['light', 'dark']) {
      await this.page.emulateMedia({colorScheme, reducedMotion: 'reduce'});
      if (shots) {
        mkdirSync(shots, {recursive: true});
        await this.page.screenshot({path: join(shots, `${this.size}-${name}-${colorScheme}.png`)});
      }
      for (const finding of await this.#seriousFindings()) this.trouble.push(`${name}, ${colorScheme}: ${finding}`);
    }
    for (const small of await this.page.evaluate(tooSmall, smallestTarget)) this.trouble.push(`${name}: too small: ${small}`);
    const wider = await this.page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
    if (wider > 0) this.trouble.push(`${name}: ${wider} px wider than the screen`);
  }

  async #seriousFindings() {
    if (!(await this.page.evaluate(() => 'axe' in globalThis))) await this.page.evaluate(axe);
    const found = await this.page.evaluate(() => globalThis.axe.run(document, {resultTypes: ['violations']}));
    return found.violations
      .filter(v => v.impact === 'serious' || v.impact === 'critical')
      .flatMap(v => v.nodes.map(n => `${v.id}: ${n.html.slice(0, 120)} ${n.any.map(a => a.message).join('; ')}`));
  }
}

/** Runs in the page: what can be pressed and is smaller than a thumb. */
function tooSmall(least) {
  const small = [];
  for (const element of document.querySelectorAll('button, select, textarea, summary, input:not(.unseen), label.button')) {
    const {width, height} = element.getBoundingClientRect();
    if (element.checkVisibility() && width > 0 && (height < least || width < least)) small.push(`${element.textContent || element.id} ${Math.round(width)} × ${Math.round(height)}`);
  }
  return small;
}
