// Checks the pages of a publication; see the script beside it.
import { createRequire } from 'node:module';
import { readFileSync, existsSync } from 'node:fs';
import { pathToFileURL } from 'node:url';
import { resolve, join, basename } from 'node:path';
import assert from 'node:assert/strict';

const require = createRequire(pathToFileURL(join(process.env.CHECKER, 'x.js')));
const puppeteer = require('puppeteer-core');
const axe = readFileSync(require.resolve('axe-core/axe.min.js'), 'utf8');
const [lists, ...morePages] = process.argv.slice(2);
const shots = process.env.SHOTS;

const browser = await puppeteer.launch({
  executablePath: process.env.BROWSER, headless: true, protocolTimeout: 1800000, userDataDir: process.env.PROFILE,
  args: ['--no-sandbox', '--disable-gpu', '--no-first-run', '--disable-background-networking', '--disable-component-update', '--disable-sync'],
});
let failed = false;
const fail = (what) => { failed = true; console.log('FAULT ' + what); };

// open loads a page from disk and keeps what it says and asks for.
async function open(file, { script = true, scheme = 'light', width = 1200, height = 900 } = {}) {
  const page = await browser.newPage();
  await page.setBypassCSP(false);
  await page.setJavaScriptEnabled(script);
  await page.setViewport({ width, height });
  await page.emulateMediaFeatures([{ name: 'prefers-color-scheme', value: scheme }]);
  const url = pathToFileURL(resolve(file)).href;
  page.on('console', (m) => { if (m.type() === 'error' || m.type() === 'warn') { fail(`${file}: console: ${m.text()}`); } });
  page.on('pageerror', (e) => fail(`${file}: ${e.message}`));
  page.on('request', (r) => { if (r.url() !== url && !r.url().startsWith('data:')) { fail(`${file} asked for ${r.url()}`); } });
  await page.goto(url, { waitUntil: 'load', timeout: 60000 });
  return page;
}

// accessible runs axe over what is visible. It is brought in over the
// debugger, past the page's own rule against foreign script.
async function accessible(page, what) {
  await page.evaluate(axe);
  const r = await page.evaluate(async () => await window.axe.run(document, { resultTypes: ['violations'] }));
  for (const v of r.violations) {
    fail(`${what}: ${v.id} (${v.impact}), ${v.nodes.length} places: ${v.help}; first: ${v.nodes[0].html.slice(0, 160)}; ${v.nodes[0].failureSummary}`);
  }
  return r.violations.length;
}

const shot = async (page, name, full = false) => { if (shots) { await page.screenshot({ path: join(shots, name + '.png'), fullPage: full }); } };
const visible = (page) => page.$$eval('table.units > tbody', (b) => b.filter((x) => !x.hidden).length);

async function listPage() {
  const file = join(lists, 'lists.html');
  const page = await open(file);
  const times = await page.evaluate(() => ({
    first: performance.getEntriesByName('first-contentful-paint')[0]?.startTime, load: performance.timing.loadEventEnd - performance.timing.navigationStart }));
  const large = await visible(page) > 5000;
  console.log(`lists.html: first painted after ${Math.round(times.first)} ms, loaded after ${times.load} ms, ${readFileSync(file).length} bytes`);
  const bound = all => all > 5000 ? 12e6 : 3e6;
  if (readFileSync(file).length > bound(await visible(page))) { fail('the page is larger than its bound'); }
  if (!(times.first < 1000)) { fail('the first list took longer than 1 s'); }
  await shot(page, 'first-screen');

  const all = await visible(page);
  const serial = await page.$eval('#u1 th', (e) => e.textContent);
  assert(all > 0);
  // search
  await page.type('#controls input', serial);
  await page.waitForFunction((n) => document.querySelectorAll('table.units > tbody:not([hidden])').length < n || n < 2, { timeout: 30000 }, all);
  assert.equal(await page.$eval('table.units > tbody:not([hidden]) th', (e) => e.textContent), serial);
  await page.click('#controls button[type=reset]');
  await page.waitForFunction((n) => document.querySelectorAll('table.units > tbody:not([hidden])').length === n, { timeout: 30000 }, all);
  // filter: every choice of the first select leaves what it says
  const tiers = await page.$eval('#controls select', (s) => [...s.options].map((x) => x.value).filter(Boolean));
  let sum = 0;
  for (const t of tiers) {
    await page.select('#controls select', t);
    await page.waitForFunction((w) => { const v = [...document.querySelectorAll('table.units > tbody:not([hidden])')]; return v.length && v.every((b) => b.rows[0].textContent.includes(w)); }, { timeout: 30000 }, t);
    sum += await visible(page);
  }
  assert.equal(sum, all, 'the tiers together are the list');
  await page.click('#controls button[type=reset]');
  await page.waitForFunction((n) => document.querySelectorAll('table.units > tbody:not([hidden])').length === n, { timeout: 30000 }, all);
  // sort by each column, both ways
  const heads = await page.$$eval('#units thead th button', (b) => b.length);
  for (let k = 0; k < heads; k++) {
    for (const way of [1, -1]) {
      const button = (await page.$$('#units thead th button'))[k];
      await button.click();
      const ok = await page.evaluate((k, way) => {
        const v = [...document.querySelectorAll('table.units > tbody')].map((b) => b.rows[0].cells[k].textContent);
        const full = v.filter(Boolean);
        const numbers = full.every((x) => /^-?\d+(\.\d+)?$/.test(x));
        const sorted = full.every((x, i) => !i || (numbers ? way * (Number(x) - Number(full[i - 1])) >= 0 : way * (x < full[i - 1] ? -1 : 1) >= 0 || x === full[i - 1]));
        return sorted && v.slice(full.length).every((x) => !x);
      }, k, way);
      // the column may be sorted ascending already when the first click comes
      if (!ok) { fail(`sorting by column ${k + 1}, way ${way}`); }
    }
  }
  await (await page.$('#units thead th button')).click();
  // keyboard: from the top to the first unit's details, opened by the keyboard
  await page.evaluate(() => { document.activeElement.blur(); window.scrollTo(0, 0); });
  let opened = false;
  for (let i = 0; i < 80 && !opened; i++) {
    await page.keyboard.press('Tab');
    opened = await page.evaluate(() => document.activeElement.matches('#u1 summary'));
  }
  assert(opened, 'the first unit is reached by the keyboard');
  const ringed = await page.evaluate(() => getComputedStyle(document.activeElement).outlineStyle !== 'none');
  assert(ringed, 'focus is seen');
  await page.keyboard.press('Enter');
  assert(await page.$eval('#u1 details', (d) => d.open), 'a unit opens by the keyboard');
  assert(await page.$eval('#u1 svg', (s) => s.getBoundingClientRect().height > 50), 'its chart is drawn');
  assert(await page.$eval('#u1 .visits', (s) => s.rows.length > 1), 'its readings are there');
  await page.$eval('#u1', (e) => e.scrollIntoView());
  await shot(page, 'unit-open');
  for (const d of await page.$$('.other details')) { await d.evaluate((e) => { e.open = true; }); }
  await shot(page, 'lists-open', false);
  await page.evaluate(() => { document.querySelectorAll('.other details').forEach((e) => { e.open = true; }); });
  await accessible(page, 'lists.html, light');
  for (const format of large ? [] : ['A4', 'Letter']) {
    const pdf = await page.pdf({ format, printBackground: true, path: shots ? join(shots, `lists-${format}.pdf`) : undefined, timeout: 120000 });
    assert(pdf.length > 10000);
  }
  await page.close();
}

async function others() {
  const dark = await open(join(lists, 'lists.html'), { scheme: 'dark' });
  await dark.evaluate(() => { document.querySelector('#u2 details, #u1 details').open = true; });
  await shot(dark, 'dark');
  await dark.$eval('#u2, #u1', (e) => e.scrollIntoView());
  await shot(dark, 'dark-unit');
  await accessible(dark, 'lists.html, dark');
  await dark.close();
  const phone = await open(join(lists, 'lists.html'), { width: 390, height: 800 });
  for (const width of [390, 800, 1024, 1440]) {
    await phone.setViewport({ width, height: 800 });
    const wide = await phone.evaluate(() => document.documentElement.scrollWidth);
    if (wide > width + 10) { fail(`on a screen of ${width} the page is ${wide} wide`); }
    await shot(phone, 'narrow-' + width);
  }
  await phone.close();
  // without script: the list is there, units open, links lead to them
  const plain = await open(join(lists, 'lists.html'), { script: false });
  await shot(plain, 'no-script');
  const client = await plain.createCDPSession();
  const { root } = await client.send('DOM.getDocument');
  const { nodeIds } = await client.send('DOM.querySelectorAll', { nodeId: root.nodeId, selector: 'table.units > tbody details' });
  assert(nodeIds.length > 0);
  await plain.close();
}

// keyboard walks a page by the keyboard: every control is reached, its focus is
// seen, and whatever opens opens by it.
async function keyboard(page, file) {
  const controls = await page.evaluate(() => {
    const all = [...document.querySelectorAll('a[href], button, input, select, summary, [tabindex="0"]')].filter((e) => e.checkVisibility());
    all.forEach((e, i) => { e.dataset.at = i; });
    document.activeElement.blur();
    return all.length;
  });
  const reached = new Set();
  for (let i = 0; i < Math.min(controls, 60); i++) {
    await page.keyboard.press('Tab');
    const at = await page.evaluate(() => {
      const e = document.activeElement;
      return { at: e.dataset.at, seen: getComputedStyle(e).outlineStyle !== 'none', opens: e.matches('summary') && !e.parentNode.open };
    });
    if (at.at === undefined) { break; }
    reached.add(at.at);
    if (!at.seen) { fail(`${file}: the focus on control ${at.at} is not seen`); }
    if (at.opens) {
      await page.keyboard.press('Enter');
      if (!await page.evaluate(() => document.activeElement.parentNode.open)) { fail(`${file}: control ${at.at} does not open by the keyboard`); }
      await page.keyboard.press('Enter');
    }
  }
  if (reached.size < Math.min(controls, 60)) { fail(`${file}: the keyboard reaches ${reached.size} of ${controls} controls`); }
}

// widths looks whether a page is cut or scrolls sideways: on screens, and on
// paper, where what sticks out is lost.
async function widths(page, file, name) {
  const out = () => page.evaluate(() => {
    const room = document.documentElement.clientWidth;
    const cut = (e) => { for (let p = e.parentElement; p; p = p.parentElement) { if (getComputedStyle(p).overflowX !== 'visible') { return true; } } return false; };
    return [...document.querySelectorAll('body *')].filter((e) => !e.closest('svg') && !e.matches('.skip') && e.getClientRects().length && e.getBoundingClientRect().right > room + 1 && !cut(e))
      .slice(0, 3).map((e) => `${e.tagName} ${e.className} "${e.textContent.slice(0, 40)}" to ${Math.round(e.getBoundingClientRect().right)} of ${room}`);
  });
  for (const width of [390, 800, 1440]) {
    await page.setViewport({ width, height: 900 });
    for (const e of await out()) { fail(`${file}: ${width} wide: sticks out: ${e}`); }
    await shot(page, `${name}-${width}`);
  }
  await page.emulateMediaType('print');
  for (const [format, mm] of [['A4', 210], ['Letter', 215.9]]) {
    await page.setViewport({ width: Math.floor((mm - 20) * 96 / 25.4), height: 900 }); // @page leaves 10 mm at either side
    for (const e of await out()) { fail(`${file}: on ${format}: sticks out: ${e}`); }
    const clipped = await page.$$eval('.wide, .units', (all) => all.filter((e) => getComputedStyle(e).overflowX !== 'visible' && e.scrollWidth > e.clientWidth + 1).length);
    if (clipped) { fail(`${file}: on ${format} ${clipped} tables are cut at the right edge`); }
  }
  await page.emulateMediaType(null);
  await page.setViewport({ width: 1200, height: 900 });
}

// further checks a page beside the lists: sheets, a unit, days, vents, hindsight.
async function further(file) {
  const name = basename(file, '.html');
  const dark = await open(file, { scheme: 'dark' });
  await shot(dark, name + '-dark');
  if (name !== 'sheets') { await accessible(dark, file + ', dark'); }
  await dark.close();
  const page = await open(file);
  await keyboard(page, file);
  await widths(page, file, name);
  if (name !== 'sheets') {
    await page.setViewport({ width: 390, height: 900 });
    await accessible(page, file + ', narrow');
    await page.setViewport({ width: 1200, height: 900 });
  }
  await accessible(page, file);
  const sheets = await page.$$eval('.sheet', (s) => s.length);
  for (const format of ['A4', 'Letter']) {
    const pdf = await page.pdf({ format, preferCSSPageSize: false, path: shots ? join(shots, `${name}-${format}.pdf`) : undefined, timeout: 120000 });
    const pages = Buffer.from(pdf).toString('latin1').match(/\/Type\s*\/Page[^s]/g)?.length;
    console.log(`${file}: ${sheets} sheets on ${pages} pages of ${format}`);
    if (name === 'sheets' && pages && pages > sheets + Math.ceil(sheets / 20) + 1) { fail(`${file}: sheets run over their page`); }
  }
  await page.close();
}

try {
  await listPage();
  await others();
  for (const file of [join(lists, 'sheets.html'), ...morePages].filter((f) => existsSync(f))) { await further(file); }
} catch (e) {
  fail(e.stack);
} finally {
  await browser.close();
}
if (failed) { process.exit(1); }
console.log('page checked');
