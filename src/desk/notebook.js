// SPDX-License-Identifier: GPL-3.0-or-later
// The desk: the notebook beside the pictures. Each change goes to the program at once; what it
// understood and what follows come back and take the place of what stood there. This part: what is
// known here, what is sent, and which row lies beside which picture. With drawing.js and hands.js it
// is one script, in one function (src/CMakeLists.txt).
const $ = (selector, within = document) => within.querySelector(selector);
const make = (name, properties = {}, ...inside) => {
  const element = Object.assign(document.createElement(name), properties);
  element.append(...inside);
  return element;
};

// All words of this page that are not the program's own.
const words = {
  keeping: "Keeping…",
  kept: (reviewed) => (reviewed ? "Kept." : "Kept. Working it out…"),
  notKept: (why) => `Not kept: ${why}. What you wrote stays on this page; it is tried again.`,
  lost: "The desk was closed. Start it again with basefog desk; all that was kept is there.",
  otherWindow: "Another window changed the same cell; what it wrote was left as it is.",
  reading: (done, all, left) => `${done} of ${all} scans read${left}.`,
  left: (seconds) => (seconds === undefined ? "" :
    seconds < 90 ? `, about ${Math.max(1, Math.round(seconds))} s left` : `, about ${Math.round(seconds / 60)} min left`),
  allRead: (count, good) => `${count} scan${count === 1 ? "" : "s"}, ${good} of them with nothing wrong.`,
  better: (count) => `${count} that could be better, and how`,
  coming: (count) => ` ${count} more on the way.`,
  noScans: "No scan is in the folder yet. Each shows here as soon as it is there.",
  noPicture: "no picture",
  row: { blank: "Blank", out: "Leave out", free: "Let basefog find it", up: "Move up", down: "Move down", remove: "Remove row" },
  picture: (name) => `picture ${name}`,
  noHeads: "No line names the columns. Put one first, such as: frame, shutter, aperture, iso, notes.",
  facts: { roll: "Roll", camera: "Camera", film: "Film", developed: "Developed" },
  rowsTurned: "The order was turned round.",
};

// What the program said last, and what was changed here since.
let view = null;
let page = null;
let sheet = null;
let edits = [];          // not yet acknowledged: {apply(sheet) -> false where it would overwrite}
let sending = false;
let step = 0;
const laid = new Map();  // picture -> row that was typed beside it, until a review knows it
const key = (picture) => picture.join("-");

const say = (text) => {
  if ($("#kept").textContent !== text) $("#kept").textContent = text;
};

// Sending.
const ask = async (place, body) => {
  const answer = await fetch(`${place}?has=${page?.review ?? 0}`, {
    method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify(body),
  });
  if (answer.status === 200 || answer.status === 409) {
    return { view: await answer.json(), conflict: answer.status === 409 };
  }
  const why = (await answer.text()) || `the desk said ${answer.status}`;
  throw Object.assign(new Error(why), { refused: answer.status === 400 });
};

const applyAll = (to, list) => {
  const done = list.filter((edit) => edit.apply(to) !== false);
  if (done.length < list.length) say(words.otherWindow);
  return done;
};

const send = async () => {
  if (sending || edits.length === 0) return;
  sending = true;
  say(words.keeping);
  const going = edits;
  try {
    const { facts, columns, rows, fixed } = sheet;
    const answer = await ask("sheet", { base: view.state, step: going.at(-1).step, facts, columns, rows, fixed });
    const later = edits.slice(going.length);
    if (answer.conflict) {
      // Another window was first: the same changes again, on what it made of the roll.
      sheet = structuredClone(answer.view.sheet);
      edits = applyAll(sheet, edits);
    } else {
      for (const edit of going) edit.kept?.(answer.view.state);
      edits = later;
    }
    sending = false;
    take(answer.view.version < view.version ? view : answer.view);
    if (edits.length > 0) send();
  } catch (error) {
    sending = false;
    say(words.notKept(error.message));
    setTimeout(send, 1000);
  }
};

/// A change of the sheet, here at once and on disk as soon as may be. Changes of one step are
/// taken back as one.
const edit = (apply, { in: ofStep = `${++step}`, kept } = {}) => {
  const one = { apply, step: ofStep, kept };
  if (apply(sheet) === false) return;
  edits = [...edits, one];
  send();
  render();
};

const setCell = (id, column, from, to) => (in_) => {
  const row = in_.rows.find((one) => one.id === id);
  if (!row) return false;
  // The program keeps no spaces at the ends of a cell.
  const there = row.cells[column].trim();
  if (there !== from.trim() && there !== to.trim()) return false;
  row.cells[column] = to;
  return true;
};

const fix = (in_, picture, row) => {
  in_.fixed = in_.fixed.filter((one) => key(one.picture) !== key(picture) && (row === null || one.row !== row));
  in_.fixed.push({ picture, row });
};

// Which row lies beside which picture: as the last review found it, but for what was typed since.
const rowOf = (picture) => {
  const own = laid.get(key(picture.picture));
  if (own) return own.row;
  const fixed = sheet.fixed.find((one) => key(one.picture) === key(picture.picture));
  if (fixed) return fixed.row;
  const row = picture.row;
  const elsewhere = row !== null && sheet.fixed.some((one) => one.row === row);
  return elsewhere || !sheet.rows.some((one) => one.id === row) ? null : row;
};

/// The lines of the notebook: pictures in film order, each with its row if it has one, and rows
/// that no picture has after the row that they follow.
const linesOf = () => {
  const lines = [];
  const taken = new Map();
  for (const picture of page?.pictures ?? []) {
    const row = rowOf(picture);
    const shared = row !== null && taken.has(row);
    lines.push({ picture, row: shared ? null : row, shares: shared ? row : null });
    if (row !== null) taken.set(row, true);
  }
  let after = -1;
  for (const row of sheet.rows) {
    const at = lines.findIndex((line) => line.row === row.id);
    if (at >= 0) after = at;
    else lines.splice(++after, 0, { picture: null, row: row.id, shares: null });
  }
  return lines;
};
const nameOf = (line) => line.picture ? line.picture.name :
  sheet.rows.find((row) => row.id === line.row)?.cells[frameColumn()] || `${sheet.rows.findIndex((row) => row.id === line.row) + 1}`;
const frameColumn = () => Math.max(0, sheet.columns.findIndex((head) => /^(frame|no|nr|#|number)/i.test(head)));

// By chance, so that rows made in two windows at once are two.
const newId = () => 1 + Math.floor(Math.random() * 2 ** 30);
const putRow = (in_, id, picture, after) => {
  const cells = in_.columns.map(() => "");
  if (picture?.label) cells[frameColumn()] = picture.label;
  const at = in_.rows.findIndex((row) => row.id === after);
  in_.rows.splice(at < 0 ? (after === null ? 0 : in_.rows.length) : at + 1, 0, { id, cells });
};
const rowBefore = (element) => {
  for (let line = element.previousElementSibling; line; line = line.previousElementSibling) {
    if (line.line.row !== null) return line.line.row;
  }
  return null;
};

/// The row of a line; made there if need be.
const rowFor = (element) => {
  const line = element.line;
  if (line.row !== null) return line.row;
  const after = rowBefore(element);
  const id = newId();
  const own = { row: id, state: Infinity };
  if (line.picture) laid.set(key(line.picture.picture), own);
  edit((in_) => {
    putRow(in_, id, line.picture, after);
    // Who writes beside a picture says whose row it is; numbers alone may be doubted.
    if (line.picture) fix(in_, line.picture.picture, id);
  }, { in: document.activeElement?.dataset?.step, kept: (state) => { own.state = state; } });
  return id;
};

const typed = (input) => {
  const element = input.closest(".line");
  const column = Number(input.dataset.column);
  const text = input.value;
  const id = rowFor(element);
  const row = sheet.rows.find((one) => one.id === id);
  if (!row || row.cells[column] === text) return;
  edit(setCell(id, column, row.cells[column], text), { in: input.dataset.step });
};

// Marks of a line.
const actions = {
  blank: (element) => {
    const column = Math.max(0, sheet.columns.findIndex((head) => /^(scene|subject|note)/i.test(head)));
    const id = rowFor(element);
    const row = sheet.rows.find((one) => one.id === id);
    edit((in_) => {
      setCell(id, column, row.cells[column], "blank")(in_);
      if (element.line.picture) fix(in_, element.line.picture.picture, id);
    });
  },
  out: (element) => edit((in_) => fix(in_, element.line.picture.picture, null)),
  free: (element) => {
    const picture = element.line.picture.picture;
    laid.delete(key(picture));
    edit((in_) => { in_.fixed = in_.fixed.filter((one) => key(one.picture) !== key(picture)); });
  },
  up: (element) => moveRow(element, -1),
  down: (element) => moveRow(element, 1),
  remove: (element) => edit((in_) => {
    in_.rows = in_.rows.filter((row) => row.id !== element.line.row);
    in_.fixed = in_.fixed.filter((one) => one.row !== element.line.row);
  }),
};
/// The row goes to the next picture that way, whose own row comes here.
const moveRow = (element, by) => {
  let other = element;
  do other = by < 0 ? other.previousElementSibling : other.nextElementSibling;
  while (other && !other.line.picture);
  const id = element.line.row;
  if (!other || id === null) return;
  const here = element.line.picture?.picture;
  const there = other.line.picture.picture;
  const back = other.line.row;
  for (const one of [here, there]) if (one) laid.delete(key(one));
  edit((in_) => {
    fix(in_, there, id);
    if (here) fix(in_, here, back);
  });
  const column = document.activeElement?.dataset?.column ?? 0;
  $(`input[data-column="${column}"]`, other)?.focus();
};
const turn = () => {
  const lines = linesOf().filter((line) => line.picture);
  const rows = lines.map((line) => line.row).filter((row) => row !== null);
  laid.clear();
  edit((in_) => {
    const left = rows.toReversed();
    for (const line of lines) {
      if (line.row !== null) fix(in_, line.picture.picture, left.shift());
    }
  });
  say(words.rowsTurned);
};

const fillDown = (input) => {
  const column = Number(input.dataset.column);
  const value = input.value;
  const lines = [];
  for (let line = input.closest(".line").nextElementSibling; line; line = line.nextElementSibling) {
    if (line.line.row === null) continue;
    const row = sheet.rows.find((one) => one.id === line.line.row);
    if (row.cells[column] !== "") break;
    lines.push(row.id);
  }
  if (lines.length > 0) edit((in_) => { for (const id of lines) setCell(id, column, "", value)(in_); });
};

/// Cells from a spreadsheet, laid from this cell on to the right and down.
const layCells = (input, text) => {
  const block = text.replace(/\r?\n$/, "").split(/\r?\n/).map((line) => line.split("\t"));
  const first = Number(input.dataset.column);
  let element = input.closest(".line");
  const ofStep = `paste-${++step}`;
  for (const cells of block) {
    if (!element) {
      addRow();
      element = $("#lines").lastElementChild;
    }
    const id = rowFor(element);
    const row = sheet.rows.find((one) => one.id === id);
    edit((in_) => cells.forEach((cell, i) => {
      if (first + i < in_.columns.length) setCell(id, first + i, row.cells[first + i], cell.trim())(in_);
    }), { in: ofStep });
    element = element.nextElementSibling;
  }
};
const addRow = () => {
  const id = newId();
  edit((in_) => putRow(in_, id, null, in_.rows.at(-1)?.id ?? null));
};
