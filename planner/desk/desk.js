// What forms and htmx cannot do: dragging, and bars that follow at once. Whatever was dragged is sent as a form.
"use strict";
let dragged = null; // an exercise or one of its sets, or a mark on a recording

function place(event) {
  const under = document.elementFromPoint(event.clientX, event.clientY);
  const session = under?.closest(".session.open");
  return session && !session.contains(dragged.card) ? session : null;
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
  place(event)?.classList.add("over");
});
document.addEventListener("pointerup", (event) => {
  const session = dragged?.card && place(event);
  end();
  if (session) send(session, dragged);
  dragged = null;
});
document.addEventListener("pointercancel", () => (dragged = end()));

function send(session, { card, sets, one }) {
  const key = card.dataset.exercise;
  const there = session.querySelector(`li[data-exercise="${key}"]`);
  const least = there ? 1 : 2; // one set alone is no exercise, neither here nor there
  const moved = one && sets - least >= 2 ? least : sets;
  const form = document.getElementById("drag");
  const [less, more] = form.elements.namedItem("word");
  less.value = `${key}=${card.closest(".session").dataset.day}:${sets - moved}`;
  const most = Number(session.closest(".sessions").dataset.most);
  more.value = `${key}=${session.dataset.day}:${Math.min(Math.max(most, moved), (there ? Number(there.dataset.sets) : 0) + moved)}`;
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

// A set more or less moves the bars at once, before the week comes that is planned for it.
document.addEventListener("submit", (event) => {
  const card = event.target.closest("li[data-exercise]");
  const wanted = card && /:(\d+)$/.exec((event.target.elements.namedItem("word") || {}).value || "");
  for (const [head, credit] of Object.entries(wanted ? JSON.parse(card.dataset.credits) : {})) {
    const bar = document.querySelector(`[data-head="${head}"]`);
    const own = bar && bar.querySelector(".own");
    const more = (Number(wanted[1]) - Number(card.dataset.sets)) * credit * (bar ? bar.dataset.width : 0);
    if (own) own.setAttribute("width", Math.max(0, Number(own.getAttribute("width")) + more));
  }
});

// No answer, or one of a desk that was opened anew.
for (const what of ["htmx:error", "htmx:response:error"]) document.addEventListener(what, ({ detail }) => {
  const silent = detail.error instanceof TypeError || detail.ctx.response?.status === 403;
  if (silent) document.querySelector("[role=status]").innerHTML = "<p>The desk does not answer: is it still open?</p>";
});
