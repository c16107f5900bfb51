// SPDX-License-Identifier: GPL-3.0-or-later
// The desk: what is done by keyboard, mouse and the program.
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
