// SPDX-License-Identifier: GPL-3.0-or-later
// Sorting, filtering and the opened frame. The page reads without it.
"use strict";
(() => {
  const $ = (selector, within = document) => within.querySelector(selector);
  const all = (selector, within = document) => [...within.querySelectorAll(selector)];
  document.documentElement.classList.add("js");

  // Filter by verdict: strip and table alike.
  const strip = $("#strip");
  const rows = all("#numbers tbody tr");
  const shown = $("#shown");
  let verdict = "all";
  const applyFilter = () => {
    const items = [...strip.children];
    for (const item of [...items, ...rows]) {
      item.hidden = verdict !== "all" && item.dataset.group !== verdict;
    }
    const count = items.filter((item) => !item.hidden).length;
    shown.textContent = count === items.length ? "" : `${count} of ${items.length} frames shown`;
  };
  for (const button of all("[data-filter]")) {
    button.addEventListener("click", () => {
      verdict = button.dataset.filter;
      for (const other of all("[data-filter]")) {
        other.setAttribute("aria-pressed", String(other === button));
      }
      applyFilter();
    });
  }

  // Sort: what has no number comes last.
  const number = (element, key) => {
    const value = element.dataset[key];
    return value === undefined || value === "" ? null : Number(value);
  };
  const compare = (key, direction) => (a, b) => {
    const x = number(a, key);
    const y = number(b, key);
    if (x === null || y === null) return (x === null) - (y === null) || a.dataset.place - b.dataset.place;
    return direction * (x - y) || a.dataset.place - b.dataset.place;
  };
  const orders = { place: ["place", 1], under: ["correction", -1], over: ["correction", 1], unsure: ["width", -1] };
  $("#order")?.addEventListener("change", (event) => {
    const [key, direction] = orders[event.target.value];
    strip.append(...[...strip.children].sort(compare(key, direction)));
  });
  for (const button of all("#numbers th button")) {
    button.addEventListener("click", () => {
      const head = button.closest("th");
      const direction = head.getAttribute("aria-sort") === "ascending" ? -1 : 1;
      for (const other of all("#numbers th[aria-sort]")) other.removeAttribute("aria-sort");
      head.setAttribute("aria-sort", direction === 1 ? "ascending" : "descending");
      const body = $("#numbers tbody");
      body.append(...[...body.children].sort(compare(button.dataset.sort, direction)));
    });
  }

  // Open a frame. Its section moves into the dialog and back, so that nothing is there twice.
  const viewer = $("#viewer");
  const slot = $(".slot", viewer);
  const title = $("#viewer-title");
  let home = null;
  let opened = null;
  let from = null;
  const putBack = () => {
    if (!opened) return;
    home.replaceWith(opened);
    opened = home = null;
  };
  // The straight print of the strip, beside the corrected one; the page holds it but once.
  const showStraight = (section) => {
    const print = $(`[data-frame="${section.id}"] img`, strip);
    const prints = $(".prints", section);
    if (!print || $(".straight", prints)) return;
    const figure = document.createElement("figure");
    const caption = document.createElement("figcaption");
    figure.className = "straight";
    caption.textContent = "Straight: with the same exposure as all others.";
    figure.append(print.cloneNode(), caption);
    prints.append(figure);
  };
  const visible = () => [...strip.children].filter((item) => !item.hidden && item.dataset.frame);
  const show = (id) => {
    const section = document.getElementById(id);
    if (!section || !section.classList.contains("frame")) return;
    putBack();
    opened = section;
    home = document.createComment(id);
    section.replaceWith(home);
    slot.append(section);
    showStraight(section);
    title.textContent = section.dataset.title;
    if (!viewer.open) viewer.showModal();
    viewer.scrollTop = 0;
  };
  const step = (by) => {
    if (!opened) return;
    const list = visible().map((item) => item.dataset.frame);
    const at = list.indexOf(opened.id);
    const next = list[(at + by + list.length) % list.length];
    if (next) show(next);
  };
  document.addEventListener("click", (event) => {
    const link = event.target.closest('a[href^="#frame-"], a[*|href^="#frame-"]');
    if (!link) return;
    event.preventDefault();
    from = link;
    show((link.getAttribute("href")).slice(1));
  });
  $("#previous").addEventListener("click", () => step(-1));
  $("#next").addEventListener("click", () => step(1));
  $("#close").addEventListener("click", () => viewer.close());
  viewer.addEventListener("keydown", (event) => {
    if (event.key === "ArrowLeft") step(-1);
    else if (event.key === "ArrowRight") step(1);
    else return;
    event.preventDefault();
  });
  viewer.addEventListener("close", () => {
    putBack();
    from?.focus();
  });
  window.addEventListener("beforeprint", () => viewer.open && viewer.close());
  const openFromAddress = () => {
    if (location.hash.startsWith("#frame-")) show(location.hash.slice(1));
  };
  window.addEventListener("hashchange", openFromAddress);
  openFromAddress();
})();
