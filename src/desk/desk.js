// SPDX-License-Identifier: GPL-3.0-or-later
// The desk: the notebook beside the pictures. Each change goes to the program at once; what it
// understood and what follows come back and take the place of what stood there.
"use strict";
(() => {
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

  // Drawing. Elements stay where they are, so that the cell one types in never goes away.
  const makeLine = () => {
    const element = make("div", { className: "line" });
    const strip = make("div", { className: "print" });
    element.append(strip, make("div", { className: "cells" }), make("div", { className: "told" },
      make("p", { className: "understood" }), make("ul", { className: "doubts" }), make("p", { className: "result" })),
      make("div", { className: "marks" }));
    for (const [name, text] of Object.entries(words.row)) {
      $(".marks", element).append(make("button", { type: "button", textContent: text, onclick: () => actions[name](element) }));
      $(".marks", element).lastElementChild.dataset.mark = name;
    }
    return element;
  };

  const setText = (element, text) => {
    if (element.textContent !== text) element.textContent = text;
  };

  const drawPrint = (element, picture) => {
    const print = $(".print", element);
    const source = picture?.image?.[0] ?? "";
    if (print.dataset.source !== source || !picture) {
      print.dataset.source = source;
      print.replaceChildren();
      if (picture?.image) {
        const [src, width, height] = picture.image;
        const link = make("a", { href: `#frame-${page.pictures.indexOf(picture) + 1}` });
        link.append(make("img", { src, width, height, alt: `Picture ${picture.name}` }));
        print.append(link);
      } else {
        print.append(make("span", { className: "nothing", textContent: picture ? "no print" : words.noPicture }));
      }
      print.append(make("span", { className: "number" }));
    }
    const link = $("a", print);
    if (link) link.setAttribute("href", `#frame-${page.pictures.indexOf(picture) + 1}`);
    setText($(".number", print), picture ? picture.name : "");
  };

  const drawCells = (element, line) => {
    const cells = $(".cells", element);
    if (cells.children.length !== sheet.columns.length) {
      cells.replaceChildren(...sheet.columns.map((head, column) => {
        const input = make("input", { type: "text", autocomplete: "off", spellcheck: false, enterKeyHint: "next" });
        input.dataset.column = column;
        return make("label", { className: "cell" }, make("span", { className: "head" }), input);
      }));
    }
    const row = sheet.rows.find((one) => one.id === line.row);
    const doubts = view.understood.rows[line.row]?.doubts ?? [];
    [...cells.children].forEach((cell, column) => {
      const head = sheet.columns[column] || "more";
      const input = $("input", cell);
      setText($(".head", cell), head);
      cell.dataset.head = head.toLowerCase();
      input.setAttribute("aria-label", `${head}, ${line.picture ? words.picture(nameOf(line)) : `row ${nameOf(line)}`}`);
      const value = row?.cells[column] ?? "";
      // Nor may a space go away under one's hands before the next word.
      const same = input === document.activeElement ? input.value.trim() === value.trim() : input.value === value;
      if (!same) input.value = value;
      if (column === frameColumn()) input.placeholder = line.picture?.label ?? "";
      input.classList.toggle("doubtful", doubts.some((doubt) => doubt.column === sheet.columns[column]));
    });
  };

  const drawTold = (element, line) => {
    const known = view.understood.rows[line.row] ?? {};
    const other = line.shares === null ? "" : "the row above is for this picture too";
    setText($(".understood", element), known.text ?? other);
    const doubts = [...(known.doubts ?? []).map((doubt) => doubt.text)];
    if (line.picture?.doubt && line.row === line.picture.row) doubts.push(`Which row? ${line.picture.doubt}`);
    const list = $(".doubts", element);
    if (list.textContent !== doubts.join("")) list.replaceChildren(...doubts.map((text) => make("li", { textContent: text })));
    list.hidden = doubts.length === 0;
    const result = $(".result", element);
    result.className = `result ${line.picture?.class ?? ""}`;
    const shown = line.picture ? `${line.picture.words}|${line.picture.numbers}` : "";
    if (result.dataset.shown !== shown) {
      result.dataset.shown = shown;
      result.replaceChildren(make("b", { className: "picture", textContent: line.picture?.words ?? "" }), " ",
        make("span", { textContent: line.picture?.numbers ?? "" }));
    }
  };

  const drawMarks = (element, line) => {
    const fixed = line.picture && sheet.fixed.some((one) => key(one.picture) === key(line.picture.picture));
    const wanted = {
      blank: Boolean(line.picture), out: Boolean(line.picture), free: Boolean(fixed),
      up: line.row !== null, down: line.row !== null, remove: line.row !== null,
    };
    for (const button of $(".marks", element).children) {
      button.hidden = !wanted[button.dataset.mark];
      button.setAttribute("aria-label", `${button.textContent}: ${line.picture ? words.picture(nameOf(line)) : `row ${nameOf(line)}`}`);
    }
    const out = line.picture && sheet.fixed.some((one) => key(one.picture) === key(line.picture.picture) && one.row === null);
    element.classList.toggle("left-out", Boolean(out));
  };

  const drawLines = () => {
    const box = $("#lines");
    const there = new Map([...box.children].map((element) => [element.dataset.key, element]));
    // A line that is moved loses the focus, and what is typed next would go nowhere.
    const hand = document.activeElement;
    const place = [hand?.selectionStart, hand?.selectionEnd];
    let at = null;
    for (const line of linesOf()) {
      const name = line.picture ? `p${key(line.picture.picture)}` : `r${line.row}`;
      const element = there.get(name) ?? makeLine();
      there.delete(name);
      element.dataset.key = name;
      element.line = line;
      const next = at ? at.nextElementSibling : box.firstElementChild;
      if (next !== element) box.insertBefore(element, next);
      at = element;
      drawPrint(element, line.picture);
      drawCells(element, line);
      drawTold(element, line);
      drawMarks(element, line);
    }
    for (const element of there.values()) element.remove();
    if (hand !== document.activeElement && box.contains(hand)) {
      hand.focus({ preventScroll: true });
      hand.setSelectionRange?.(...place);
    }
  };

  const drawFacts = () => {
    const box = $("#facts");
    for (const [name, text] of Object.entries(words.facts)) {
      let input = $(`[data-fact="${name}"]`, box);
      if (!input) {
        input = make("input", { type: "text", autocomplete: "off", spellcheck: false });
        input.dataset.fact = name;
        box.append(make("label", {}, make("span", { textContent: text }), input));
      }
      const value = sheet.facts.find((fact) => fact.name.toLowerCase() === name)?.text ?? "";
      if (input !== document.activeElement && input.value !== value) input.value = value;
    }
  };

  const answered = async (place, body) => {
    try {
      take((await ask(place, { base: view.state, ...body })).view, true);
    } catch (error) {
      say(words.notKept(error.message));
    }
  };
  const answer = (does) => {
    if (does.key) return answered("answer", { key: does.key, value: does.value });
    if (does.fix !== undefined) return edit((in_) => fix(in_, page.pictures[does.fix].picture, does.row));
    const pairs = page.pictures.filter((picture) => picture.row !== null);
    return edit((in_) => {
      if (does.log_is_of_roll) for (const picture of pairs) fix(in_, picture.picture, picture.row);
      else Object.assign(in_, { rows: [], fixed: [] });
    });
  };
  const drawQuestions = () => {
    const shown = JSON.stringify(page?.questions ?? []);
    const box = $("#questions");
    if (box.dataset.shown === shown) return;
    box.dataset.shown = shown;
    box.replaceChildren(...(page?.questions ?? []).map((question) => make("div", { className: "question" },
      make("p", { textContent: question.text }),
      ...question.choices.map((choice) => make("button", { type: "button", onclick: () => answer(choice.does) },
        make("b", { textContent: choice.answer }), make("span", { textContent: choice.meaning ? ` ${choice.meaning}` : "" }))))));
  };

  const incoming = {};
  const drawIncoming = () => {
    const scans = view.scans;
    const read = scans.filter((scan) => scan.state === "read" || scan.wrong);
    const wrong = read.filter((scan) => scan.wrong?.length > 0);
    const { done, all, seconds } = view.reading;
    const coming = scans.filter((scan) => scan.state === "coming").length;
    const bar = $("#incoming-bar");
    bar.hidden = all < 2;
    if (all >= 2) Object.assign(bar, { max: all, value: done });
    setText($("#incoming-say"), scans.length === 0 ? words.noScans :
      all > 0 ? words.reading(done, all, words.left(seconds)) :
        words.allRead(scans.length - coming, read.length - wrong.length) + (coming ? words.coming(coming) : ""));
    $("#incoming").hidden = false;
    const list = $("#incoming-list");
    // What is wrong with many scans alike is said once.
    const groups = new Map();
    for (const scan of wrong) {
      for (const { what, next } of scan.wrong) {
        const group = groups.get(what) ?? { names: [], next };
        group.names.push(scan.name);
        groups.set(what, group);
      }
    }
    const shown = JSON.stringify([...groups]);
    if (list.dataset.shown === shown) return;
    list.dataset.shown = shown;
    const more = $("#incoming-more");
    more.hidden = wrong.length === 0;
    // Opened by itself for what came while one looks on, so that it can be scanned again.
    if (wrong.length > (incoming.wrong ?? wrong.length)) more.open = true;
    incoming.wrong = wrong.length;
    setText($("#incoming-sum"), words.better(wrong.length));
    list.replaceChildren(...[...groups].map(([what, group]) => make("li", {},
      make("span", { className: "where", textContent: group.names.length > 4 ? `${group.names.length} scans, ${group.names.slice(0, 3).join(", ")} and others` : group.names.join(", ") }),
      `${what} ${group.next}`)));
  };

  const drawParts = () => {
    document.dispatchEvent(new Event("parts-leave"));
    for (const [name, html] of page.parts) {
      const part = $(`[data-part="${name}"]`);
      // The program escapes all text in it; scripts could not run here in any case.
      if (part && part.shown !== html) {
        part.innerHTML = html;
        part.shown = html;
      }
    }
    setText($("#title"), page.title);
    document.title = page.title;
    setText($("#meta"), page.meta);
    document.dispatchEvent(new Event("parts-come"));
  };

  const render = () => {
    drawLines();
    drawFacts();
  };

  /// Takes over what the program says; replace: also where changes of this window are on their way.
  const take = (next, replace = false) => {
    if (view && next.version < view.version) return;
    view = next;
    const waiting = edits.length > 0 && !replace;
    if (!waiting) {
      edits = [];
      sheet = structuredClone(view.sheet);
    }
    const fresh = next.page !== undefined;
    if (fresh) page = { ...next.page, review: next.review };
    const here = document.activeElement?.closest?.(".line")?.dataset.key;
    for (const [picture, own] of laid) {
      if ((view.reviewed ?? 0) >= own.state && here !== `p${picture}`) laid.delete(picture);
      else if (!waiting && !sheet.rows.some((row) => row.id === own.row)) laid.delete(picture);
    }
    if (fresh) drawParts();
    render();
    drawQuestions();
    drawIncoming();
    setText($("#whole"), [...view.understood.whole, view.failure].filter(Boolean).join(" "));
    $("#undo").disabled = !view.undo;
    $("#redo").disabled = !view.redo;
    if (edits.length === 0 && !sending) say(words.kept(view.current || !page));
    document.body.dataset.kept = view.state;
    document.body.dataset.reviewed = view.reviewed ?? 0;
  };

  // Hands.
  const lines = $("#lines");
  lines.addEventListener("focusin", (event) => {
    if (event.target.matches("input")) event.target.dataset.step = `cell-${++step}`;
  });
  lines.addEventListener("input", (event) => typed(event.target));
  lines.addEventListener("paste", (event) => {
    const text = event.clipboardData.getData("text/plain");
    if (!event.target.matches("input") || !/[\t\n]/.test(text.trimEnd())) return;
    event.preventDefault();
    layCells(event.target, text);
  });
  lines.addEventListener("keydown", (event) => {
    const input = event.target;
    if (!input.matches("input") || event.isComposing) return;
    const go = (by) => {
      let line = input.closest(".line");
      line = by < 0 ? line.previousElementSibling : line.nextElementSibling;
      $(`input[data-column="${input.dataset.column}"]`, line ?? input.closest(".line"))?.focus();
    };
    if (event.altKey && event.key === "ArrowUp") actions.up(input.closest(".line"));
    else if (event.altKey && event.key === "ArrowDown") actions.down(input.closest(".line"));
    else if (event.ctrlKey && event.key === "Enter") fillDown(input);
    else if (event.key === "ArrowUp" || (event.key === "Enter" && event.shiftKey)) go(-1);
    else if (event.key === "ArrowDown" || event.key === "Enter") go(1);
    else return;
    event.preventDefault();
  });
  $("#facts").addEventListener("focusin", (event) => { event.target.dataset.step = `fact-${++step}`; });
  $("#facts").addEventListener("input", (event) => {
    const { fact, step: ofStep } = event.target.dataset;
    const text = event.target.value;
    edit((in_) => {
      const there = in_.facts.find((one) => one.name.toLowerCase() === fact);
      if (there) there.text = text;
      else in_.facts.push({ name: fact, text });
    }, { in: ofStep });
  });
  const back = (place) => {
    if (edits.length > 0 || sending) return;  // in a moment
    laid.clear();
    answered(place, {});
  };
  $("#undo").addEventListener("click", () => back("undo"));
  $("#redo").addEventListener("click", () => back("redo"));
  document.addEventListener("keydown", (event) => {
    if (!(event.ctrlKey || event.metaKey) || event.key.toLowerCase() !== "z") return;
    if (event.target.matches("textarea")) return;
    event.preventDefault();
    back(event.shiftKey ? "redo" : "undo");
  });
  $("#add").addEventListener("click", () => {
    addRow();
    $("input", $("#lines").lastElementChild)?.focus();
  });
  $("#turn").addEventListener("click", turn);
  $("#paste").addEventListener("click", () => {
    const box = $("#paste-box");
    box.hidden = !box.hidden;
    $("#paste").setAttribute("aria-expanded", String(!box.hidden));
    if (!box.hidden) $("#paste-text").focus();
  });
  $("#paste-do").addEventListener("click", async () => {
    try {
      laid.clear();
      const answer = await ask("paste", { base: view.state, text: $("#paste-text").value });
      take(answer.view, true);
      $("#paste-text").value = "";
      setText($("#paste-say"), "");
      $("#paste").click();
      $("#notebook").focus();
    } catch (error) {
      setText($("#paste-say"), error.refused ? words.noHeads : words.notKept(error.message));
    }
  });
  // Leaving with something on its way: the browser asks first.
  window.addEventListener("beforeunload", (event) => {
    if (edits.length > 0) event.preventDefault();
  });

  // Listening.
  const listen = async () => {
    let failed = 0;
    while (true) {
      try {
        const answer = await fetch(`view?seen=${view?.version ?? 0}&has=${page?.review ?? 0}`);
        if (!answer.ok) throw new Error(String(answer.status));
        take(await answer.json());
        failed = 0;
      } catch {
        if (++failed === 5) say(words.lost);
        await new Promise((done) => setTimeout(done, 400 * Math.min(5, failed)));
      }
    }
  };
  listen();
})();
