// SPDX-License-Identifier: GPL-3.0-or-later
// Sorting, filtering and the opened frame. The page reads without it.
"use strict";
(() => {
  const $ = (selector, within = document) => within.querySelector(selector);
  const all = (selector, within = document) => [...within.querySelectorAll(selector)];
  document.documentElement.classList.add("js");

  // The parts of the page are looked up when they are needed: at the desk they are replaced while
  // the page is open.
  const strip = () => $("#strip");

  // Rows of the table: of a roll's frames, or on the page of many rolls a body a roll.
  const rows = () => all("#numbers [data-place]");

  // Filter by verdict: strip and table alike.
  let verdict = "all";
  const applyFilter = () => {
    if (!strip()) return;
    const items = [...strip().children];
    for (const item of [...items, ...rows()]) {
      item.hidden = verdict !== "all" && item.dataset.group !== verdict;
    }
    for (const button of all("[data-filter]")) {
      button.setAttribute("aria-pressed", String(button.dataset.filter === verdict));
    }
    const count = items.filter((item) => !item.hidden).length;
    $("#shown").textContent = count === items.length ? "" : `${count} of ${items.length} frames shown`;
  };

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
  let order = "place";
  const applyOrder = () => {
    const [key, direction] = orders[order];
    strip()?.append(...[...strip().children].sort(compare(key, direction)));
    if ($("#order")) $("#order").value = order;
  };
  let column = null;
  const applyColumn = () => {
    const head = column && $(`#numbers th button[data-sort="${column.key}"]`)?.closest("th");
    if (!head) return;
    for (const other of all("#numbers th[aria-sort]")) other.removeAttribute("aria-sort");
    head.setAttribute("aria-sort", column.direction === 1 ? "ascending" : "descending");
    const sorted = rows().sort(compare(column.key, column.direction));
    sorted[0]?.parentNode.append(...sorted);
  };
  document.addEventListener("change", (event) => {
    if (event.target.id !== "order") return;
    order = event.target.value;
    applyOrder();
  });
  document.addEventListener("click", (event) => {
    const filter = event.target.closest("[data-filter]");
    const sort = event.target.closest("#numbers th button");
    if (filter) {
      verdict = filter.dataset.filter;
      applyFilter();
    } else if (sort) {
      const again = sort.closest("th").getAttribute("aria-sort") === "ascending";
      column = { key: sort.dataset.sort, direction: again ? -1 : 1 };
      applyColumn();
    }
  });

  const viewer = $("#viewer");
  if (!viewer) return;  // the page of many rolls has no frames to open

  // Open a frame. Its section moves into the dialog and back, so that nothing is there twice. Each
  // step in is a step of the browser's history: back leads out of a large picture, then of the frame.
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
    const print = $(`[data-frame="${section.id}"] img`);
    const prints = $(".prints", section);
    if (!print || $(".straight", prints)) return;
    const figure = document.createElement("figure");
    const caption = document.createElement("figcaption");
    figure.className = "straight";
    caption.textContent = "Straight: with the same exposure as all others.";
    figure.append(print.cloneNode(), caption);
    prints.append(figure);
  };
  const visible = () => [...strip().children].filter((item) => !item.hidden && item.dataset.frame);
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
  const frameInAddress = () => (location.hash.startsWith("#frame-") ? location.hash.slice(1) : null);
  const bare = () => location.pathname + location.search;
  const enlarge = (large) => {
    viewer.classList.toggle("large", large);
    for (const button of all(".enlarge", viewer)) button.setAttribute("aria-pressed", String(large));
  };
  // What the address and the history say is what is shown.
  const follow = () => {
    const id = frameInAddress();
    enlarge(Boolean(history.state?.large));
    if (id && document.getElementById(id)) {
      if (opened?.id !== id) show(id);
    } else if (viewer.open) {
      viewer.close();
    }
  };
  const leave = () => {
    if (history.state?.steps) {
      history.go(-history.state.steps);
    } else {
      history.replaceState(null, "", bare());
      follow();
    }
  };
  const step = (by) => {
    if (!opened) return;
    const list = visible().map((item) => item.dataset.frame);
    const at = list.indexOf(opened.id);
    const next = list[(at + by + list.length) % list.length];
    if (!next) return;
    history.replaceState(history.state, "", `#${next}`);
    show(next);
  };
  document.addEventListener("click", (event) => {
    const link = event.target.closest('a[href^="#frame-"], a[*|href^="#frame-"]');
    if (!link) return;
    event.preventDefault();
    if (!viewer.open) from = link;
    const steps = (history.state?.steps ?? 0) + 1;
    history.pushState({ steps }, "", link.getAttribute("href"));
    follow();
  });
  document.addEventListener("click", (event) => {
    if (!event.target.closest("#viewer .enlarge")) return;
    if (history.state?.large) return history.back();
    history.pushState({ steps: (history.state?.steps ?? 0) + 1, large: true }, "");
    follow();
  });
  $("#previous").addEventListener("click", () => step(-1));
  $("#next").addEventListener("click", () => step(1));
  $("#close").addEventListener("click", leave);
  viewer.addEventListener("cancel", (event) => {
    event.preventDefault();
    if (history.state?.large && history.state.steps) history.back();
    else leave();
  });
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
  // Before and after parts are replaced. What was chosen and opened stays so.
  let reopened = null;
  document.addEventListener("parts-leave", () => {
    reopened = viewer.open && opened ? opened.id : null;
    putBack();
  });
  document.addEventListener("parts-come", () => {
    applyFilter();
    applyOrder();
    applyColumn();
    if (!reopened) return;
    if (document.getElementById(reopened)) show(reopened);
    else viewer.close();
  });
  window.addEventListener("beforeprint", () => viewer.open && viewer.close());
  window.addEventListener("popstate", follow);
  window.addEventListener("hashchange", follow);
  follow();
})();
