// SPDX-License-Identifier: GPL-3.0-or-later
// The desk: what is shown, from what the program said and what was changed here since.
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
