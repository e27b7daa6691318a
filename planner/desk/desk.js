// Dragging an exercise, or one set of it, to another day. All else here is forms; so is this, once it is dropped.
"use strict";
let dragged = null;

function place(event) {
  const under = document.elementFromPoint(event.clientX, event.clientY);
  const session = under?.closest(".session.open");
  return session && !session.contains(dragged.card) ? session : null;
}

function end() {
  for (const one of document.querySelectorAll(".over, .dragged")) one.classList.remove("over", "dragged");
}

document.addEventListener("pointerdown", (event) => {
  const card = event.target.closest("li[data-exercise]");
  const handle = event.target.closest(".grip, .set"); // what a finger drags by; a mouse takes the whole card
  if (!card || event.button || (!handle && (event.pointerType !== "mouse" || event.target.closest("a, button, details")))) return;
  event.preventDefault();
  dragged = { card, sets: Number(card.dataset.sets), one: event.target.matches(".set") };
});
document.addEventListener("pointermove", (event) => {
  if (!dragged) return;
  end();
  dragged.card.classList.add("dragged");
  place(event)?.classList.add("over");
});
document.addEventListener("pointerup", (event) => {
  const session = dragged && place(event);
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
  form.elements.namedItem("at").value = session.id;
  form.submit();
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

// The split of a recorded set: a mark for each second that is written below its envelopes; a dragged mark writes it.
function rowsOf(area) {
  return area.value.split("\n").filter((line) => line.trim()).map((line) => line.trim().split(/\s+/));
}

function mark(svg) {
  for (const one of svg.querySelectorAll("line")) one.remove();
  rowsOf(svg.closest("form").elements.namedItem("rows")).forEach((row, repetition) => row.forEach((second, what) => {
    if (!Number.isFinite(Number(second))) return;
    const line = document.createElementNS(svg.namespaceURI, "line");
    for (const [name, value] of Object.entries({ x1: second, x2: second, y1: 0, y2: 100 })) line.setAttribute(name, value);
    if (what === 2) line.classList.add("turn");
    Object.assign(line.dataset, { repetition, what });
    svg.append(line);
  }));
}

const across = (line) => line.getBoundingClientRect().left;
for (const svg of document.querySelectorAll(".split")) {
  const area = svg.closest("form").elements.namedItem("rows");
  let held = null;
  mark(svg);
  area.addEventListener("input", () => mark(svg));
  svg.addEventListener("pointerdown", (event) => {
    const near = (line) => Math.abs(across(line) - event.clientX);
    const [line] = [...svg.querySelectorAll("line")].sort((a, b) => near(a) - near(b));
    if (!line || near(line) > 16) return; // as far as a thumb is from what it means
    held = { ...line.dataset };
    svg.setPointerCapture(event.pointerId);
  });
  svg.addEventListener("pointermove", (event) => {
    if (!held) return;
    const box = svg.getBoundingClientRect(), rows = rowsOf(area);
    const part = Math.min(1, Math.max(0, (event.clientX - box.left) / box.width));
    rows[held.repetition][held.what] = (part * svg.viewBox.baseVal.width).toFixed(2);
    area.value = rows.map((row) => row.join(" ")).join("\n");
    mark(svg);
  });
  for (const end of ["pointerup", "pointercancel"]) svg.addEventListener(end, () => (held = null));
}

// While weeks are planned an event says each time that one more is there; what the page shows other by then is put in its place.
const progress = document.querySelector("#progress[data-events]");
if (progress) {
  const events = new EventSource("/events");
  events.addEventListener("message", async () => {
    const page = new DOMParser().parseFromString(await (await fetch("/")).text(), "text/html");
    for (const part of page.querySelectorAll("#progress, #due, .cards > li")) {
      const here = document.getElementById(part.id);
      if (here && !here.isEqualNode(part)) here.replaceChildren(...part.childNodes);
    }
    if (page.querySelector("#progress[data-events]")) return;
    events.close();
    delete progress.dataset.events;
  });
}
