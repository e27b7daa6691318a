// What forms and htmx cannot do: dragging, and bars that follow at once. Whatever was dragged is sent as a form.
"use strict";
let dragged = null; // an exercise or one of its sets, or a mark on a recording

function place(event) {
  const under = document.elementFromPoint(event.clientX, event.clientY)?.closest(".session.open, .out");
  return under && !under.contains(dragged.card) ? under : null;
}

function end() {
  for (const one of document.querySelectorAll(".over, .dragged")) one.classList.remove("over", "dragged");
}

const across = (line) => line.getBoundingClientRect().left;

document.addEventListener("pointerdown", (event) => {
  const svg = event.target.closest(".split");
  if (svg) {
    const near = (line) => Math.abs(across(line) - event.clientX);
    const [line] = [...svg.querySelectorAll("line")].sort((a, b) => near(a) - near(b));
    if (line && near(line) < 16) dragged = { svg, line }; // as far as a thumb is from what it means
    if (dragged) svg.setPointerCapture(event.pointerId);
    return;
  }
  const card = event.target.closest("li[data-exercise]");
  const handle = event.target.closest(".grip, .set"); // what a finger drags by; a mouse takes the whole card
  if (!card || event.button || (!handle && (event.pointerType !== "mouse" || event.target.closest("a, button, details")))) return;
  event.preventDefault();
  dragged = { card, sets: Number(card.dataset.sets), one: event.target.matches(".set") };
});
document.addEventListener("pointermove", (event) => {
  if (dragged?.line) split(event, dragged);
  if (!dragged?.card) return;
  end();
  dragged.card.classList.add("dragged");
  const over = place(event);
  over?.classList.add("over");
  follow(over ? moves(over, dragged) : []);
});
document.addEventListener("pointerup", (event) => {
  const over = dragged?.card && place(event);
  end();
  if (over) send(moves(over, dragged));
  dragged = null;
});
document.addEventListener("pointercancel", () => (dragged = follow([])));

// What a drop means, as the buttons say it: "exercise=day:sets" of the day it leaves, and of the one it comes to.
function moves(over, { card, sets, one }) {
  const key = card.dataset.exercise;
  const there = over.querySelector(`li[data-exercise="${key}"]`);
  const least = there || !over.dataset.day ? 1 : 2; // one set alone is no exercise, neither here nor there
  const moved = one && sets - least >= 2 ? least : sets;
  const words = [`${key}=${card.closest(".session").dataset.day}:${sets - moved}`];
  if (!over.dataset.day) return words; // out of the week
  const most = Number(over.closest(".sessions").dataset.most);
  return [...words, `${key}=${over.dataset.day}:${Math.min(Math.max(most, moved), (there ? Number(there.dataset.sets) : 0) + moved)}`];
}

function send(words) {
  const form = document.getElementById("drag");
  [...form.elements.namedItem("word")].forEach((field, at) => (field.value = words[at] ?? ""));
  form.requestSubmit();
}

// A dragged mark is written into its line below the envelopes.
function split(event, { svg, line }) {
  const area = svg.closest("form").elements.namedItem("rows"), box = svg.getBoundingClientRect();
  const part = Math.min(1, Math.max(0, (event.clientX - box.left) / box.width));
  const second = (part * svg.viewBox.baseVal.width).toFixed(2);
  for (const end of ["x1", "x2"]) line.setAttribute(end, second);
  const rows = area.value.split("\n").map((row) => row.trim().split(/\s+/));
  const row = rows[line.dataset.repetition];
  if (row) row[line.dataset.what] = second;
  area.value = rows.map((row) => row.join(" ")).join("\n");
}

// The bars follow sets at once, before the week comes that is planned for them: own movements whole, help up to its most.
function follow(words) {
  const more = {}; // by head: direct sets of own movements, and of those that help
  for (const [, key, day, sets] of words.map((word) => /^(\w+)=(\w+):(\d+)$/.exec(word)).filter(Boolean)) {
    const cards = [...document.querySelectorAll(`li[data-exercise="${key}"]`)];
    const was = cards.find((card) => card.closest(".session").dataset.day === day)?.dataset.sets ?? 0;
    for (const [head, credit] of Object.entries(JSON.parse(cards[0]?.dataset.credits ?? "{}"))) {
      more[head] ??= [0, 0];
      more[head][Number(cards[0].dataset.trains !== head)] += (sets - was) * credit;
    }
  }
  for (const bar of document.querySelectorAll(".bar")) {
    const [own, help] = ["own", "help"].map((part, at) => Number(bar.dataset[part]) + (more[bar.dataset.head]?.[at] ?? 0));
    const counted = Math.min(help, bar.dataset.most), [first, second] = bar.querySelectorAll(".own, .helping");
    first.setAttribute("width", own * bar.dataset.width);
    second.setAttribute("x", own * bar.dataset.width);
    second.setAttribute("width", counted * bar.dataset.width);
    const total = bar.querySelector(".total"), { planned } = total.dataset;
    total.textContent = Math.abs(own + counted - planned) < 0.06 ? planned : `about ${(own + counted).toFixed(1)}`;
  }
}
document.addEventListener("submit", ({ target }) => {
  if (target.closest("li[data-exercise]")) follow(new FormData(target).getAll("word"));
});

// No answer, or one of a desk that was opened anew.
for (const what of ["htmx:error", "htmx:response:error"]) document.addEventListener(what, ({ detail }) => {
  const silent = detail.error instanceof TypeError || detail.ctx.response?.status === 403;
  follow([]);
  if (silent) document.querySelector("[role=status]").innerHTML = "<p>The desk does not answer: is it still open?</p>";
});
