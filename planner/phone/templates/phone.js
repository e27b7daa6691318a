"use strict";
const main = document.querySelector("main");
const mark = JSON.parse(main.dataset.mark);
const key = ["phone", mark.athlete, mark.week, mark.session, mark.plan].join("/");
const all = (what, from = document) => [...from.querySelectorAll(what)];
const byId = (id) => document.getElementById(id);
const fields = (from) => all("[name]:not(meta)", from);
const words = JSON.parse(main.dataset.words);
const said = byId("said");
let state = { values: {}, done: {}, places: {}, until: 0 };

function keep() {
  for (const field of fields()) state.values[field.name] = field.type === "checkbox" ? field.checked : field.value;
  try {
    localStorage.setItem(key, JSON.stringify(state));
  } catch {
    byId("unkept").hidden = false;
  }
}

function bring() {
  let kept;
  try {
    kept = JSON.parse(localStorage.getItem(key));
  } catch {
    byId("unkept").hidden = false;
  }
  if (!kept || !kept.values || !kept.done || !kept.places) return;
  state = kept;
  fill(document);
  for (const [place, choice] of Object.entries(state.places)) show(place, choice);
  if (state.until) run();
}

function fill(part) {
  for (const field of fields(part)) {
    if (!(field.name in state.values)) continue;
    if (field.type === "checkbox") field.checked = state.values[field.name];
    else field.value = state.values[field.name];
  }
  for (const tick of all(".tick", part)) press(tick, Boolean(state.done[tick.dataset.name]));
  all(".choice", part).forEach(look);
}

function unpack(place, choice) {
  const packed = all("template").find((one) => one.dataset.place === place && one.dataset.choice === choice);
  if (!packed) return; // a replacement is packed until it is asked for: the first paint does not wait for it
  fill(packed.content);
  packed.replaceWith(packed.content);
}

function today() {
  const now = new Date();
  return new Date(now - now.getTimezoneOffset() * 60000).toISOString().slice(0, 10);
}

function dated() {
  const date = document.querySelector("[name=date]");
  if (!date.value) date.value = today();
}

function press(tick, done) {
  tick.setAttribute("aria-pressed", done);
  state.done[tick.dataset.name] = done;
}

function show(place, choice) {
  unpack(place, choice);
  for (const one of all(".choice")) if (one.dataset.place === place) one.hidden = one.dataset.choice !== choice;
  state.places[place] = choice;
}

function wrong(field) {
  const text = field.value.trim().replace(",", ".");
  const number = field.dataset.whole === undefined ? /^\d+(\.\d+)?$/ : /^\d+$/;
  const bad = text !== "" && !(number.test(text) && Number(text) <= Number(field.dataset.most));
  if (bad || field.hasAttribute("aria-invalid")) field.setAttribute("aria-invalid", bad);
  return bad;
}

function look(choice) {
  const hurts = all("[name$='|pain']", choice).some((field) => Number(field.value) > 0);
  all(".pain", choice).forEach((part) => (part.hidden = !hurts));
  all("[data-most]", choice).forEach(wrong);
  let before = "";
  for (const load of all("[name$='|load']", choice)) {
    if (before && load.placeholder !== before) load.placeholder = before; // the load of the set before is the next one's suggestion
    before = load.value || load.placeholder;
  }
}

function value(row, what) {
  const field = row.querySelector(`[name$='|${what}']`);
  return field ? field.value.trim().replace(",", ".") : "";
}

function entries(choice) {
  const name = choice.dataset.choice;
  const about = (what) => choice.querySelector(`[name$='||${what}']`).value.trim();
  const rows = all(".set", choice);
  let filled = rows.filter((row) => ["load", "reps", "rir", "pain"].some((what) => value(row, what)));
  const note = about("note").replace(/\s+/g, " ");
  if (note && !filled.length) filled = rows.slice(0, 1);
  return filled.map((row, place) => {
    const load = value(row, "load");
    const hurts = Number(value(row, "pain")) > 0;
    return {
      exercise: name, set: row.dataset.set, load, load_unit: load ? row.dataset.unit : "",
      reps: value(row, "reps"), rir: value(row, "rir"), pain: value(row, "pain"),
      where: hurts ? about("where") : "", kind: hurts ? about("kind") : "",
      next_morning: hurts ? document.getElementsByName("morning")[0].value : "",
      note: place ? "" : note,
    };
  });
}

function faulty() {
  const empty = all(".set").filter((row) => (value(row, "load") || value(row, "rir")) && !value(row, "reps"));
  const bad = [...all("[data-most]").filter(wrong), ...empty.map((row) => row.querySelector("[name$='|reps']"))];
  bad.forEach((field) => field.setAttribute("aria-invalid", true));
  if (!bad.length) return false;
  const row = bad[0].closest(".choice");
  if (row.hidden) show(row.dataset.place, row.dataset.choice);
  bad[0].focus();
  said.textContent = words.marked;
  return true;
}

function written() {
  const sets = all(".choice").flatMap(entries);
  const taken = new Set(); // a replacement may stand in two places: its sets go on counting
  for (const set of sets) {
    while (taken.has(`${set.exercise} ${set.set}`)) set.set = String(Number(set.set) + 1);
    taken.add(`${set.exercise} ${set.set}`);
  }
  return JSON.stringify({ ...mark, date: document.querySelector("[name=date]").value || today(), sets }, null, 1) + "\n";
}

function save() {
  const link = document.createElement("a");
  link.href = URL.createObjectURL(new Blob([byId("text").value], { type: "application/json" }));
  link.download = main.dataset.file + ".json";
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 60000);
  said.textContent = words.saved;
}

function finish() {
  if (faulty()) return;
  const text = written();
  byId("text").value = text;
  byId("fallback").hidden = false;
  if (!JSON.parse(text).sets.length) {
    said.textContent = words.empty;
    return;
  }
  const file = new File([text], main.dataset.file + ".txt", { type: "text/plain" });
  if (navigator.canShare && navigator.canShare({ files: [file] })) {
    navigator.share({ files: [file] }).then(() => (said.textContent = words.sent), () => (said.textContent = words.unsent));
  } else save();
}

function copy() {
  byId("text").select();
  const tried = navigator.clipboard ? navigator.clipboard.writeText(byId("text").value) : Promise.reject();
  tried.catch(() => document.execCommand("copy")).then(() => (said.textContent = words.copied));
}

let sound;
let clock;
function wake() {
  if (!sound && window.AudioContext) sound = new AudioContext(); // a phone lets a page sound only after a tap
  if (sound) sound.resume();
}

function ring() {
  if (navigator.vibrate) navigator.vibrate([300, 100, 300]);
  if (!sound || !document.querySelector("[name=sound]").checked) return;
  for (const [place, pitch] of [660, 880, 660].entries()) {
    const tone = sound.createOscillator();
    const loudness = sound.createGain();
    loudness.gain.value = 0.3;
    tone.frequency.value = pitch;
    tone.connect(loudness).connect(sound.destination);
    tone.start(sound.currentTime + place * 0.3);
    tone.stop(sound.currentTime + place * 0.3 + 0.2);
  }
}

function count() {
  const left = Math.ceil((state.until - Date.now()) / 1000);
  byId("skip").hidden = left <= 0;
  byId("rest").textContent = left > 0 ? `${Math.floor(left / 60)}:${String(left % 60).padStart(2, "0")}` : "–";
  if (left > 0) return;
  clearInterval(clock);
  if (!state.until) return;
  state.until = 0;
  keep();
  byId("rest").textContent = words.go;
  document.querySelector("footer").classList.add("over");
  byId("rested").textContent = words.over;
  ring();
}

function run() {
  document.querySelector("footer").classList.remove("over");
  byId("rested").textContent = "";
  clearInterval(clock);
  clock = setInterval(count, 250);
  count();
}

function tick(button) {
  const row = button.closest(".set");
  const done = button.getAttribute("aria-pressed") !== "true";
  if (done) {
    for (const field of all("[data-most]", row)) if (!field.value) field.value = field.placeholder;
    dated();
    if (!value(row, "reps")) row.querySelector("[name$='|reps']").focus();
    if (row.dataset.rest) state.until = Date.now() + row.dataset.rest * 1000;
    run();
  }
  press(button, done);
  look(button.closest(".choice"));
}

document.addEventListener("input", (event) => {
  const choice = event.target.closest(".choice");
  if (choice) {
    dated();
    look(choice);
  }
  keep();
});
document.addEventListener("click", (event) => {
  const button = event.target.closest("button");
  if (!button) return;
  if (button.matches(".tick")) tick(button);
  if (button.matches(".swap")) {
    show(button.dataset.place, button.dataset.to);
    const shown = all(".choice").find((one) => one.dataset.place === button.dataset.place && !one.hidden);
    shown.querySelector("h2").focus();
  }
  if (button.id === "skip") state.until = 0;
  if (button.id === "finish") finish();
  if (button.id === "save") save();
  if (button.id === "copy") copy();
  keep();
  if (button.matches(".tick")) wake(); // slow the first time, so after all is kept
});
bring();
requestAnimationFrame(() => setTimeout(() => document.documentElement.classList.add("painted")));
