// SPDX-License-Identifier: GPL-3.0-or-later
// The desk in headless Chromium: the sample roll from an empty desk to its numbers by typing its
// log, as a person would. BASEFOG_PROGRAM is the program, BASEFOG_ROLL the folder of the roll.
// BASEFOG_DESK_SHOTS: where screenshots go, if anywhere.
import assert from "node:assert/strict";
import { execFileSync, spawn } from "node:child_process";
import { cpSync, mkdirSync, mkdtempSync, readFileSync, readdirSync, rmSync } from "node:fs";
import { createRequire } from "node:module";
import { tmpdir } from "node:os";
import { test } from "node:test";

const require = createRequire(import.meta.url);
const { chromium } = require("playwright-core");
const { HtmlValidate } = require("html-validate");
const axePath = require.resolve("axe-core/axe.min.js");

const program = process.env.BASEFOG_PROGRAM;
const roll = process.env.BASEFOG_ROLL;
const shots = process.env.BASEFOG_DESK_SHOTS;
const here = mkdtempSync(`${tmpdir()}/basefog-desk-`);
// A machine that does other things as well may take long.
const patience = { timeout: 120_000 };
const desks = [];

const browser = await chromium.launch({
  executablePath: process.env.BASEFOG_CHROMIUM ?? "/usr/bin/chromium",
  args: ["--no-sandbox", "--disable-gpu"],
});
test.after(async () => {
  await browser.close();
  for (const desk of desks) desk.kill("SIGKILL");
  rmSync(here, { recursive: true, force: true, maxRetries: 5 });
});

const scansOf = (count = Infinity) => readdirSync(roll).filter((name) => name.endsWith(".tif")).slice(0, count);
const layOut = (name, scans = scansOf()) => {
  const folder = `${here}/${name}`;
  mkdirSync(`${folder}/scans`, { recursive: true });
  for (const scan of scans) cpSync(`${roll}/${scan}`, `${folder}/scans/${scan}`);
  return folder;
};

/// Starts a desk; its address is all that it prints.
async function start(folder, scans = "scans") {
  const desk = spawn(program, ["desk", `${folder}/${scans}`, "--out", `${folder}/desk`, "--no-open"]);
  desks.push(desk);
  let said = "";
  desk.stderr.on("data", (data) => { said += data; });
  const address = await new Promise((done, failed) => {
    let text = "";
    desk.stdout.on("data", (data) => {
      text += data;
      if (text.endsWith("\n")) done(text.trim());
    });
    desk.on("exit", () => failed(new Error(said || "the desk ended")));
  });
  const ended = new Promise((done) => desk.on("exit", done));
  return { desk, address, kill: (signal) => { desk.kill(signal); return ended; } };
}

/// Anything said on the console and any request beyond the desk fails.
async function open(address, { width = 1280, height = 900, scheme = "light", bypassCSP = false } = {}) {
  const context = await browser.newContext({
    viewport: { width, height }, colorScheme: scheme, reducedMotion: "reduce", bypassCSP });
  const page = await context.newPage();
  page.setDefaultTimeout(patience.timeout);
  const said = [];
  page.on("console", (message) => said.push(`console: ${message.text()}`));
  page.on("pageerror", (error) => said.push(`error: ${error.message}`));
  page.on("request", (request) => {
    if (!request.url().startsWith(new URL(address).origin)) said.push(`request: ${request.url()}`);
  });
  await page.goto(address);
  return { page, said, close: () => context.close() };
}

const lines = (page) => page.locator(".line");
const allRead = (page, count) => page.waitForFunction((wanted) =>
  document.querySelectorAll(".line .print a").length === wanted &&
  document.querySelector("#incoming-say").textContent.includes("nothing wrong"), count, patience);
const reviewed = (page) => page.waitForFunction(() =>
  document.body.dataset.reviewed === document.body.dataset.kept &&
  document.querySelector("#kept").textContent === "Kept.", undefined, patience);

/// The sample log's rows as cells, by the picture's number; its own reader of quotes.
const rowsOf = (file) => readFileSync(file, "utf8").trim().split(/\r?\n/).slice(1).map((line) =>
  [...line.matchAll(/("(?:[^"]|"")*"|[^,]*)(?:,|$)/g)].slice(0, 8).map(([, cell]) =>
    cell.startsWith('"') ? cell.slice(1, -1).replaceAll('""', '"') : cell));

test("from an empty desk to the numbers by typing the log", patience, async (t) => {
  const folder = layOut("typed", []);
  const { address, kill } = await start(folder);
  const { page, said, close } = await open(address);
  await page.getByText("No scan is in the folder yet").waitFor();
  assert.equal(await lines(page).count(), 0);

  // The scanner writes one scan after the other.
  const scans = scansOf();
  for (const scan of scans) cpSync(`${roll}/${scan}`, `${folder}/scans/${scan}`);
  await allRead(page, scans.length);
  await reviewed(page);
  assert.match(await page.textContent("#meta"), /^14 frames/);
  assert.match(await page.textContent("[data-part=next]"), /There is no log/);

  // The log is copied from the notebook with the keyboard alone.
  const columns = ["frame", "shutter", "aperture", "iso", "mode", "compensation", "scene", "notes"];
  for (const cells of rowsOf(`${roll}/log.csv`)) {
    const name = cells[0];
    await page.getByLabel(`shutter, picture ${name}`, { exact: true }).focus();
    for (const [i, column] of columns.entries()) {
      if (i === 0 || cells[i] === "") continue;
      await page.getByLabel(`${column}, picture ${name}`, { exact: true }).focus();
      await page.keyboard.type(cells[i]);
    }
  }
  await reviewed(page);
  const rowOf = (name) => lines(page).filter({ has: page.getByLabel(`shutter, picture ${name}`, { exact: true }) });
  assert.match(await rowOf("1").locator(".understood").textContent(), /1\/1000.*f\/8/);
  assert.match(await rowOf("1").locator(".result").textContent(), /film got.*asked.*deviation/);

  // Every letter is there.
  const typed = rowsOf(`${folder}/desk/log.csv`).map((cells) => cells.join("|"));
  assert.equal(typed.length, rowsOf(`${roll}/log.csv`).length);
  for (const cells of rowsOf(`${roll}/log.csv`)) {
    const row = typed.find((one) => one.startsWith(`${cells[0]}|`));
    for (const cell of cells) assert.ok(row.includes(cell.trim()), `${cell} in ${row}`);
  }

  // The same review on the command line, to the byte.
  const saved = await page.evaluate(async () => (await fetch("log.csv")).text());
  assert.equal(saved, readFileSync(`${folder}/desk/log.csv`, "utf8"));
  const review = JSON.parse(execFileSync(program, ["review", `${folder}/scans`, "--log",
    `${folder}/desk/log.csv`, "--match", `${folder}/desk/match.csv`, "--json", "-", "--quiet"],
  { maxBuffer: 1 << 28, stdio: ["ignore", "pipe", "ignore"] }));
  const deviations = review.frames.filter((frame) => frame.deviation);
  const shown = await page.$$eval("#numbers tbody tr[data-deviation]", (rows) => rows.map((row) => Number(row.dataset.deviation)));
  assert.ok(shown.length >= 8, `${shown.length} deviations`);
  assert.equal(shown.length, deviations.length);
  shown.forEach((value, i) => assert.ok(Math.abs(value - deviations[i].deviation.stops) < 0.0011, `${value}, ${deviations[i].deviation.stops}`));

  // From a keystroke to new numbers.
  const times = [];
  for (const text of ["+1", "+2", "-1", "0"]) {
    times.push(await page.evaluate(async (to) => {
      const input = document.querySelector('[aria-label="compensation, picture 1"]');
      const result = input.closest(".line").querySelector(".result");
      const before = result.textContent;
      const began = performance.now();
      input.focus();
      input.value = to;
      input.dispatchEvent(new Event("input", { bubbles: true }));
      while (result.textContent === before) await new Promise((next) => setTimeout(next, 2));
      return Math.round(performance.now() - began);
    }, text));
    await reviewed(page);
  }
  t.diagnostic(`from a keystroke to new numbers: ${times.join(", ")} ms`);

  // An opened frame stays open while numbers change.
  await rowOf("1").locator(".print a").click();
  await page.locator("#viewer[open] .frame").waitFor();
  await page.keyboard.press("Escape");
  if (shots) await page.screenshot({ path: `${shots}/typed.png`, fullPage: true });
  // A picture may be replaced by that of a newer review while the page asks for it.
  assert.deepEqual(said.filter((line) => !line.includes("404")), []);
  await close();
  assert.equal(await kill("SIGINT"), 0);
});

test("taken back and done again, over a restart; a row moved, left out, turned round", patience, async () => {
  const folder = layOut("moved", scansOf(5));
  cpSync(`${roll}/log.csv`, `${folder}/scans/log.csv`);
  let { address, kill } = await start(folder);
  let { page, close } = await open(address);
  await allRead(page, 5);
  await reviewed(page);
  const value = (column, name) => page.getByLabel(`${column}, picture ${name}`, { exact: true }).inputValue();
  assert.equal(await value("shutter", 1), "1/1000", "the log that lies with the scans was taken up");

  await page.getByLabel("shutter, picture 1", { exact: true }).focus();
  await page.keyboard.press("Alt+ArrowDown");
  await page.waitForFunction(() => document.querySelector('[aria-label="shutter, picture 2"]').value === "1/1000");
  await reviewed(page);
  assert.equal(await value("shutter", 1), "500");
  assert.match(readFileSync(`${folder}/desk/match.csv`, "utf8"), /roll03_02.tif,1,yes/);

  await kill("SIGKILL");
  await close();
  ({ address, kill } = await start(folder));
  ({ page, close } = await open(address));
  await allRead(page, 5);
  await reviewed(page);
  assert.equal(await value("shutter", 2), "1/1000");
  await page.click("#undo");
  await page.waitForFunction(() => document.querySelector('[aria-label="shutter, picture 1"]')?.value === "1/1000");
  await reviewed(page);
  await page.click("#redo");
  await page.waitForFunction(() => document.querySelector('[aria-label="shutter, picture 2"]')?.value === "1/1000");
  await reviewed(page);

  const third = lines(page).filter({ has: page.getByLabel("shutter, picture 3", { exact: true }) });
  await third.hover();
  await third.getByRole("button", { name: "Leave out" }).click();
  await reviewed(page);
  assert.match(readFileSync(`${folder}/desk/match.csv`, "utf8"), /roll03_03.tif,,yes/);
  await page.click("#undo");
  await reviewed(page);
  const before = [await value("shutter", 1), await value("shutter", 4)];
  await page.click("#turn");
  await reviewed(page);
  assert.deepEqual([await value("shutter", 4), await value("shutter", 1)], before);
  await close();
  await kill("SIGTERM");
});

test("pasted, as a whole log and as cells; what is doubtful is said in its place", patience, async () => {
  const folder = layOut("pasted", scansOf(4));
  const { address, kill } = await start(folder);
  const { page, said, close } = await open(address);
  await allRead(page, 4);
  await page.click("#paste");
  await page.fill("#paste-text", "nothing that names columns");
  await page.click("#paste-do");
  await page.getByText("No line names the columns").waitFor();
  await page.fill("#paste-text", "film: ISO 400\nframe\tshutter\taperture\tnotes\n1\t1/1000\tf/8\tdoor\n2\tfast\tf/9.5\t<b>bold</b>\n3\t1/500\t5.6\twall\n");
  await page.click("#paste-do");
  const reads = (label, wanted) => page.waitForFunction(([at, text]) =>
    document.querySelector(`[aria-label="${at}"]`)?.value === text, [label, wanted], patience);
  await reads("shutter, picture 2", "fast");
  await reviewed(page);
  const value = (column, name) => page.getByLabel(`${column}, picture ${name}`, { exact: true });
  assert.equal(await value("shutter", 2).inputValue(), "fast");
  const second = lines(page).filter({ has: value("shutter", 2) });
  assert.match(await second.locator(".doubts").textContent(), /fast/);
  assert.equal(await value("shutter", 2).getAttribute("class"), "doubtful");
  assert.equal(await page.locator(".lines b", { hasText: "bold" }).count(), 0, "notes are text");

  await value("shutter", 2).focus();
  await page.evaluate(() => {
    const data = new DataTransfer();
    data.setData("text/plain", "1/125\t11\r\n1/30\t\"\r\n");
    document.activeElement.dispatchEvent(new ClipboardEvent("paste", { clipboardData: data, bubbles: true, cancelable: true }));
  });
  await reads("shutter, picture 2", "1/125");
  await reviewed(page);
  assert.equal(await value("shutter", 3).inputValue(), "1/30");
  assert.match(await lines(page).filter({ has: value("shutter", 3) }).locator(".understood").textContent(), /1\/30.*f\/11/);
  assert.deepEqual(said.filter((line) => !line.includes("400")), []);  // the refused paste
  await close();
  await kill("SIGTERM");
});

test("two windows: neither overwrites the other", patience, async () => {
  const folder = layOut("windows", scansOf(3));
  const { address, kill } = await start(folder);
  const one = await open(address);
  const other = await open(address);
  await allRead(one.page, 3);
  await allRead(other.page, 3);
  const cell = (window, column, name) => window.page.getByLabel(`${column}, picture ${name}`, { exact: true });
  await Promise.all([
    cell(one, "shutter", 1).pressSequentially("1/125"),
    cell(other, "shutter", 2).pressSequentially("1/250"),
  ]);
  for (const window of [one, other]) {
    await window.page.waitForFunction(() =>
      document.querySelector('[aria-label="shutter, picture 1"]').value === "1/125" &&
      document.querySelector('[aria-label="shutter, picture 2"]').value === "1/250", undefined, patience);
  }
  await one.close();
  await other.close();
  await kill("SIGTERM");
});

test("killed while one types: all that was kept is there", patience, async (t) => {
  const folder = layOut("killed", []);
  const rounds = Number(process.env.BASEFOG_KILLS ?? 5);
  let kept = [];
  for (let round = 0; round < rounds; ++round) {
    const { address, kill } = await start(folder);
    const { page, close } = await open(address);
    await page.waitForFunction(() => document.body.dataset.kept !== undefined, undefined, patience);
    const values = await page.$$eval(".line input[data-column='1']", (inputs) => inputs.map((input) => input.value));
    kept.forEach((text, i) => assert.ok((values[i] ?? "").startsWith(text), `${values[i]} for ${text}`));
    await page.click("#add");
    const cell = page.locator(".line").last().locator("input").nth(1);
    await cell.focus();
    const typing = cell.pressSequentially("1/" + "1234567890".repeat(20), { delay: 3 }).catch(() => {});
    await new Promise((done) => setTimeout(done, 60 + Math.random() * 300));
    const acknowledged = page.evaluate(() => document.body.dataset.kept).catch(() => null);
    await acknowledged;
    // What the page calls kept is what the program has on disk.
    kept = await page.evaluate(async () => (await (await fetch("view?seen=0")).json()).sheet.rows.map((row) => row.cells[1]));
    await kill("SIGKILL");
    await typing;
    await close();
  }
  t.diagnostic(`${rounds} kills, ${kept.length} rows kept`);
});

for (const [width, scheme] of [[390, "light"], [1280, "light"], [1280, "dark"], [2560, "light"]]) {
  test(`at ${width}, ${scheme}: accessible, nothing wider than the page`, patience, async () => {
    const folder = layOut(`wide-${width}-${scheme}`, scansOf(4));
    cpSync(`${roll}/log.csv`, `${folder}/scans/log.csv`);
    const { address, kill } = await start(folder);
    const { page, close } = await open(address, { width, scheme, bypassCSP: true });
    await allRead(page, 4);
    await reviewed(page);
    assert.ok(await page.evaluate(() => document.documentElement.scrollWidth) <= width);
    await page.addScriptTag({ path: axePath });
    const result = await page.evaluate(() => globalThis.axe.run());
    assert.deepEqual(result.violations.map((v) => `${v.id}: ${v.nodes.slice(0, 3).map((n) => n.target).join(" ")}`), []);
    if (shots) await page.screenshot({ path: `${shots}/desk-${width}-${scheme}.png`, fullPage: true });
    await close();
    await kill("SIGTERM");
  });
}

test("the shelf leads to each roll", patience, async () => {
  const folder = layOut("shelf/scans/roll1", []);
  for (const name of ["roll1", "roll2"]) {
    mkdirSync(`${here}/shelf/scans/${name}`, { recursive: true });
    cpSync(`${roll}/roll03_01.tif`, `${here}/shelf/scans/${name}/${name}_01.tif`);
  }
  rmSync(`${folder}/scans`, { recursive: true });
  const { address, kill } = await start(`${here}/shelf`);
  const { page, said, close } = await open(address);
  assert.deepEqual(await page.locator(".shelf a").allTextContents(), ["roll1", "roll2"]);
  await page.click("text=roll2");
  await allRead(page, 1);
  assert.deepEqual(said, []);
  await close();
  await kill("SIGTERM");
});

test("the page is valid HTML", patience, async () => {
  const { address, kill } = await start(layOut("html", []));
  const text = await (await fetch(address)).text();
  const report = await new HtmlValidate({ extends: ["html-validate:recommended"] }).validateString(text);
  assert.deepEqual(report.results.flatMap((r) => r.messages.map((m) => `${m.line}: ${m.message}`)), []);
  await kill("SIGTERM");
});
