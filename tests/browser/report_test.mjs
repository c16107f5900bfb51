// SPDX-License-Identifier: GPL-3.0-or-later
// Opens the sample reports in headless Chromium and uses them as a person would.
// BASEFOG_REPORTS names the folder with sample.html, nolog.html, colour.html, empty.html, long.html,
// index.html and roll/report.html. Screenshots go to its folder screenshots. Ends with status 1 if anything
// failed.
import assert from "node:assert/strict";
import { mkdirSync, readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { resolve } from "node:path";
import { pathToFileURL } from "node:url";
import { test } from "node:test";

const require = createRequire(import.meta.url);
const { chromium } = require("playwright-core");
const { HtmlValidate } = require("html-validate");
const axePath = require.resolve("axe-core/axe.min.js");

const folder = resolve(process.env.BASEFOG_REPORTS);
const pages = ["sample.html", "nolog.html", "colour.html", "empty.html", "index.html",
  "roll/report.html"];
const shots = `${folder}/screenshots`;
mkdirSync(shots, { recursive: true });
const address = (name) => pathToFileURL(`${folder}/${name}`).href;

const browser = await chromium.launch({
  executablePath: process.env.BASEFOG_CHROMIUM ?? "/usr/bin/chromium",
  args: ["--no-sandbox", "--disable-gpu"],
});
test.after(() => browser.close());

/// Opens a report; anything said on the console and any request but for the page itself fails.
async function open(name, { width = 1280, scheme = "light", script = true, bypassCSP = false } = {}) {
  const context = await browser.newContext({
    viewport: { width, height: 900 }, colorScheme: scheme, javaScriptEnabled: script, bypassCSP,
    reducedMotion: "reduce",
  });
  context.setDefaultTimeout(120_000);  // patience on a busy machine
  const page = await context.newPage();
  const said = [];
  page.on("console", (message) => said.push(`console: ${message.text()}`));
  page.on("pageerror", (error) => said.push(`error: ${error.message}`));
  page.on("request", (request) => {
    const url = request.url();
    if (url.split("#")[0] !== address(name) && !url.startsWith("data:")) said.push(`request: ${url}`);
  });
  page.on("dialog", (dialog) => { said.push(`dialog: ${dialog.message()}`); dialog.dismiss(); });
  await page.goto(address(name));
  return { page, said, close: () => context.close() };
}

const frames = (page) => page.locator("#strip > li:visible");
const order = (page) =>
  page.$$eval("#strip > li", (items) => items.map((item) => item.dataset.frame));

for (const name of pages) {
  test(`${name} opens without a word or a request`, async () => {
    const { page, said, close } = await open(name);
    // Two frames on, the script has run and the page was drawn.
    await page.evaluate(() => new Promise((done) =>
      requestAnimationFrame(() => requestAnimationFrame(done))));
    assert.deepEqual(said, []);
    await close();
  });

  test(`${name} is valid HTML`, async () => {
    const report = await new HtmlValidate({ extends: ["html-validate:recommended"] })
      .validateFile(`${folder}/${name}`);
    const found = report.results.flatMap((r) => r.messages.map((m) => `${m.line}: ${m.message}`));
    assert.deepEqual(found, []);
  });

  for (const [width, scheme] of [[1280, "light"], [390, "light"], [1280, "dark"]]) {
    test(`${name} at ${width}, ${scheme}: accessible, nothing wider than the page`, async () => {
      const { page, close } = await open(name, { width, scheme, bypassCSP: true });
      const wide = await page.evaluate(() => document.documentElement.scrollWidth);
      assert.ok(wide <= width, `${wide} > ${width}`);
      await page.addScriptTag({ path: axePath });
      const result = await page.evaluate(() => globalThis.axe.run());
      const serious = result.violations
        .filter((v) => ["serious", "critical"].includes(v.impact))
        .map((v) => `${v.id}: ${v.nodes.slice(0, 3).map((n) => n.target).join(" ")}`);
      assert.deepEqual(serious, []);
      await page.screenshot({ path: `${shots}/${name.replaceAll("/", "-")}-${width}-${scheme}.png`, fullPage: true });
      await close();
    });
  }
}

for (const name of ["sample.html", "roll/report.html"]) {
test(`${name}: filter by mouse and by keyboard`, async () => {
  const { page, close } = await open(name);
  const total = await frames(page).count();
  await page.click("[data-filter=under]");
  const groups = await page.$$eval("#strip > li:not([hidden])", (l) => l.map((i) => i.dataset.group));
  assert.ok(groups.length > 0 && groups.length < total);
  assert.ok(groups.every((group) => group === "under"));
  assert.equal(await page.locator("#numbers tbody tr:visible").count(), groups.length);
  assert.match(await page.textContent("#shown"), /^\d+ of \d+ frames shown$/);
  await page.focus("[data-filter=all]");
  await page.keyboard.press("Enter");
  assert.equal(await frames(page).count(), total);
  assert.equal(await page.getAttribute("[data-filter=all]", "aria-pressed"), "true");
  await close();
});

test(`${name}: sort the strip and the table`, async () => {
  const { page, close } = await open(name);
  const film = await order(page);
  await page.selectOption("#order", "under");
  const corrections = await page.$$eval("#strip > li", (items) =>
    items.map((i) => i.dataset.correction).filter((c) => c !== undefined).map(Number));
  assert.deepEqual(corrections, [...corrections].sort((a, b) => b - a));
  const groups = await page.$$eval("#strip > li", (items) => items.map((i) => i.dataset.group));
  assert.ok(groups.includes("none"));
  assert.equal(groups.at(-1), "none", "frames without a number come last");
  await page.selectOption("#order", "place");
  assert.deepEqual(await order(page), film);

  const column = () => page.$$eval("#numbers tbody tr", (rows) =>
    rows.map((r) => r.dataset.exposure).filter((v) => v !== undefined).map(Number));
  await page.click("#numbers button[data-sort=exposure]");
  const up = await column();
  assert.deepEqual(up, [...up].sort((a, b) => a - b));
  await page.focus("#numbers button[data-sort=exposure]");
  await page.keyboard.press("Space");
  assert.deepEqual(await column(), [...up].reverse());
  assert.equal(await page.locator("th[aria-sort=descending]").count(), 1);
  await close();
});

test(`${name}: open a frame by mouse, leaf through it by keyboard, close it`, async () => {
  const { page, said, close } = await open(name);
  const link = page.locator('#strip a[href="#frame-5"]');
  await link.click();
  const viewer = page.locator("#viewer");
  assert.ok(await viewer.isVisible());
  assert.ok(await page.locator("#viewer #frame-5").isVisible());
  assert.ok(await page.locator("#viewer .straight img").isVisible());
  await page.screenshot({ path: `${shots}/frame-1280-${name.replaceAll("/", "-")}.png` });
  await page.keyboard.press("ArrowRight");
  assert.ok(await page.locator("#viewer #frame-6").isVisible());
  await page.keyboard.press("ArrowLeft");
  await page.keyboard.press("ArrowLeft");
  assert.ok(await page.locator("#viewer #frame-4").isVisible());
  await page.click("#next");
  assert.ok(await page.locator("#viewer #frame-5").isVisible());
  await page.keyboard.press("Escape");
  assert.ok(await viewer.isHidden());
  // The event that puts the frame back comes after the dialog is gone.
  await page.waitForFunction(() => !document.querySelector("#viewer .frame"));
  assert.equal(await page.locator(".frames-all > .frame").count(), await order(page).then((o) => o.length));
  assert.ok(await link.evaluate((e) => e === document.activeElement), "focus returns to the link");
  await page.keyboard.press("Enter");
  assert.ok(await page.locator("#viewer #frame-5").isVisible());
  await page.click("#close");
  assert.ok(await viewer.isHidden());
  assert.deepEqual(said, []);
  await close();
});
}

test("an index page leads to the report of a roll, without a script", async () => {
  const { page, said, close } = await open("index.html", { script: false });
  assert.deepEqual(said, []);
  assert.equal(await page.locator("tbody th[scope=row]").count(), 3);
  assert.equal(await page.locator("img.film").count(), 2);
  await page.focus("tbody a");
  await page.keyboard.press("Enter");
  await page.waitForURL(/sample\.html$|colour\.html$/);
  await page.click("text=All rolls");
  await page.waitForURL(/index\.html$/);
  await close();
});

test("an index page sorts, and keeps what stands under a roll with it", async () => {
  const { page, said, close } = await open("index.html");
  const values = () => page.$$eval("#numbers tbody", (rolls) => rolls.map((r) => r.dataset.frames));
  await page.click("#numbers button[data-sort=frames]");
  assert.deepEqual(await values(), ["3", "14", undefined], "what has no number comes last");
  await page.click("#numbers button[data-sort=frames]");
  assert.deepEqual(await values(), ["14", "3", undefined]);
  assert.equal(await page.locator("#numbers tbody").first().locator("img.film").count(), 1);
  assert.deepEqual(said, []);
  await close();
});

test("a picture opens large by mouse and keyboard, and back leads out again, step by step", async () => {
  const { page, said, close } = await open("long.html");
  const frame = page.locator("#viewer .frame");
  const print = page.locator("#viewer .enlarge img");
  await page.locator('#strip a[href="#frame-5"]').click();
  assert.ok(await frame.isVisible());
  assert.equal(new URL(page.url()).hash, "#frame-5");
  const before = await print.evaluate((image) => image.clientWidth);
  await print.click();
  const large = await print.evaluate((image) => [image.clientWidth, image.naturalWidth]);
  assert.deepEqual(large, [1200, 1200], "as large as the scan has it");
  assert.ok(before < 800);
  await page.goBack();
  assert.equal(await print.evaluate((image) => image.clientWidth), before);
  await page.focus("#viewer .enlarge");
  await page.keyboard.press("Enter");
  assert.equal(await page.getAttribute("#viewer .enlarge", "aria-pressed"), "true");
  await page.keyboard.press("Escape");
  await page.waitForFunction(() => !document.querySelector("#viewer.large"));
  assert.ok(await frame.isVisible());
  await page.click("#next");
  assert.equal(new URL(page.url()).hash, "#frame-6");
  await page.goBack();
  await page.waitForFunction(() => !document.querySelector("#viewer").open);
  assert.equal(new URL(page.url()).hash, "");
  await page.goForward();
  await page.waitForFunction(() => document.querySelector("#viewer #frame-6"));
  await page.click("#close");
  await page.waitForFunction(() => !document.querySelector("#viewer").open);
  assert.deepEqual(said, []);
  await close();
});

test("the opened frame keeps to the filter, and is accessible", async () => {
  const { page, close } = await open("sample.html", { width: 390, bypassCSP: true });
  await page.click("[data-filter=over]");
  await frames(page).first().locator("a").first().click();
  const first = await page.$eval("#viewer .frame", (f) => f.id);
  await page.keyboard.press("ArrowRight");
  const second = await page.$eval("#viewer .frame", (f) => f.id);
  const groups = await page.$$eval(`[data-frame=${first}], [data-frame=${second}]`, (l) =>
    l.map((i) => i.dataset.group));
  assert.deepEqual(groups, ["over", "over"]);
  await page.addScriptTag({ path: axePath });
  const result = await page.evaluate(() => globalThis.axe.run("#viewer"));
  assert.deepEqual(result.violations.filter((v) => ["serious", "critical"].includes(v.impact))
    .map((v) => v.id), []);
  await page.screenshot({ path: `${shots}/frame-390.png` });
  await close();
});

test("a frame's dot in a chart leads to it", async () => {
  const { page, close } = await open("sample.html");
  await page.locator("svg.chart a circle.dot").first().click();
  assert.ok(await page.locator("#viewer .frame").isVisible());
  await close();
});

test("an address with a frame opens it", async () => {
  const { page, close } = await open("sample.html");
  await page.goto(`${address("sample.html")}#frame-3`);
  assert.ok(await page.locator("#viewer #frame-3").isVisible());
  // Its heading is not behind the bar.
  const bar = await page.locator("#viewer .bar").boundingBox();
  const heading = await page.locator("#frame-3 h3").boundingBox();
  assert.ok(heading.y >= bar.y + bar.height, `${heading.y} < ${bar.y + bar.height}`);
  await page.click("#close");
  await page.waitForFunction(() => !document.querySelector("#viewer").open);
  assert.equal(new URL(page.url()).hash, "");
  await close();
});

test("a roll prints on three pages at most", async () => {
  for (const name of ["sample.html", "long.html", "roll/report.html"]) {
    const { page, close } = await open(name);
    const path = `${shots}/${name.replaceAll("/", "-")}.pdf`;
    await page.pdf({ path, format: "A4" });
    const pages = readFileSync(path, "latin1").match(/\/Type\s*\/Page\b/g).length;
    assert.ok(pages >= 1 && pages <= 3, `${name}: ${pages}`);
    await close();
  }
});

test("reads without a script, and prints the roll", async () => {
  const { page, close } = await open("sample.html", { script: false });
  assert.equal(await page.locator(".frames-all > .frame:visible").count(),
    await page.locator("#strip > li").count());
  assert.equal(await page.locator(".controls:visible").count(), 0);
  await close();
  const printed = await open("sample.html");
  await printed.page.emulateMedia({ media: "print" });
  assert.ok(await printed.page.locator("#strip > li").last().isVisible());
  assert.ok(await printed.page.locator("#numbers").isVisible());
  assert.ok(await printed.page.locator("#frame-2").isHidden());
  await printed.close();
});
