/* The page on which an entry is written: what is typed is looked at, kept as a draft, shown as the patient sees it, and saved. */
"use strict";
import { announce, ask, at, button, dialog, key, make, put, Refused, say, Unanswered, up, words } from "./ask.js";
import { Form, note } from "./fields.js";
import { figureField, postureField } from "./pose.js";
import { steps } from "./steps.js";

const page = Array.from(crypto.getRandomValues(new Uint8Array(12)), one => one.toString(16).padStart(2, "0")).join("");
const main = document.querySelector("main"), path = decodeURIComponent(location.hash.slice(1));
const language = localStorage.getItem("limberleaf-language") || "en";
const entry = { path, base: null, value: {}, page, language };
let form, told = {}, typed = false, waiting = 0, resting = 0, number = 0, past = [], saving = false;
const parts = {};

const copy = value => JSON.parse(JSON.stringify(value));

async function open() {
  let opened;
  try {
    opened = await ask("open", { path, language });
  } catch (error) {
    main.replaceChildren(make("div", { className: "desk-sheet" }, make("h1", {}, path), make("p", {}, error.message)));
    return;
  }
  Object.assign(words, opened.words);
  document.documentElement.lang = opened.words.lang;
  Object.assign(entry, opened, { page });
  if (opened.draft && opened.base === null) Object.assign(entry, { value: opened.draft.value, base: opened.draft.base });
  draw();
  if (opened.unreadable) say_line(opened.unreadable);
  if (opened.draft && opened.base !== null) offer(opened.draft);
  else typed = opened.base === null;
  look(true);
}

/** Offer a draft that was left: go on with it, or throw it away. */
function offer(draft) {
  const box = make("div", { className: "offer", role: "group", "aria-label": say("draft_left") },
    make("p", {}, say("draft_from", { when: new Date(draft.when).toLocaleString(language), who: draft.who || say("somebody") })),
    button(say("draft_go_on"), () => { box.remove(); entry.value = draft.value; entry.base = draft.base; typed = true; draw(); look(true); }),
    " ", button(say("draft_drop"), () => ask("leave", { path, page, drop: true }).then(() => box.remove(), failed), { className: "small" }));
  parts.notice.replaceChildren(box);
}

function draw() {
  const value = entry.value;
  form = new Form(value, entry.picks, changed, { figure: figureField(entry, () => form), posture: postureField(entry) },
    entry.original?.value ? entry.original : null);
  parts.title = make("h1", { dir: "auto" }, value.title?.en || value.title || entry.name);
  parts.state = make("span", { className: "save-state", role: "status" });
  parts.lost = make("p", { className: "refused lost", role: "alert" });
  parts.save = button(say("save"), save, { className: "button main" });
  parts.back = button(say("undo"), back, { className: "small", disabled: !past.length && !entry.undo });
  parts.notice = make("div", { className: "notice" });
  parts.left = make("div", { className: "notes-left" });
  parts.frame = make("iframe", { title: say("patient_page"), className: "phone" });
  parts.reading = make("p", { className: "reads" });
  parts.changes = make("pre", { className: "changes", tabIndex: 0 });
  parts.changes.setAttribute("aria-label", say("changes"));
  parts.more = make("div", { className: "more" });
  const sections = form.sections(entry.form);
  const jump = make("nav", { className: "jump", "aria-label": say("parts") }, make("ul", {},
    ...entry.form.map(one => make("li", {}, make("a", { href: `#part-${one.key}`, onclick: event => { event.preventDefault(); document.getElementById(`part-${one.key}`).scrollIntoView(); document.getElementById(`part-${one.key}`).closest("section").querySelector("input, textarea, select, button")?.focus(); } }, one.label)))));
  const side = make("aside", { className: "beside", "aria-label": say("beside") },
    make("div", { className: "beside-inner" }, make("h2", {}, say("patient_page")), parts.reading, make("div", { className: "phone-case" }, parts.frame),
      make("details", {}, make("summary", {}, say("changes")), parts.changes)));
  main.replaceChildren(make("div", { className: "write-bar" }, make("p", { className: "kind" }, entry.kind_words, " ", make("span", { className: "code" }, entry.name), entry.translation ? ` · ${entry.translation}` : ""),
    make("div", { className: "bar-tools" }, parts.state, parts.back, steps(entry, { save, unsaved: () => typed, opened: () => open() }), parts.save), parts.lost),
  make("div", { className: "write" },
    make("div", { className: "writing" }, parts.title, parts.notice, jump, parts.left, ...sections, parts.more), side),
  make("p", { className: "hide", role: "status" }));
}

const snapshots = [];
/** A value changed: keep it for undo, and look at it once the hand rests. */
function changed(loc) {
  const name = key(loc.filter(step => typeof step === "string"));
  if (!snapshots.length || snapshots.at(-1).name !== name || Date.now() - snapshots.at(-1).when > 4000) {
    past.push(last);
    if (past.length > 200) past.shift();
    snapshots.push({ name, when: Date.now() });
  }
  last = copy(entry.value);
  typed = true;
  parts.back.disabled = false;
  if (loc[0] === "title") parts.title.textContent = entry.value.title?.en || entry.value.title || entry.name;
  clearTimeout(waiting);
  clearTimeout(resting);
  waiting = setTimeout(() => look(false), 120);
  resting = setTimeout(() => look(true), 1200);
}
let last = null;

/** Ask what there is to say, and say it beside the fields. Only the answer to the latest question counts. */
async function look(whole) {
  const mine = ++number;
  last ||= copy(entry.value);
  try {
    const answer = await ask("look", { path, base: entry.base, value: entry.value, page, whole, typed, language });
    if (mine !== number) return;
    if (!whole) {  // what only the slow look sees stays until it looks again
      const seen = new Set(answer.findings.map(one => one.code));
      answer.findings.push(...(told.findings || []).filter(one => slow.has(one.code) && !seen.has(one.code)));
    }
    told = answer;
  } catch (error) {
    if (mine === number) failed(error);
    return;
  }
  parts.lost.replaceChildren();
  const left = form.tell(told.findings, told.marks, use);
  parts.left.replaceChildren(...left.map(one => note(one.severity, one.message, one.hint)));
  if (told.other) locked(told.other);
  else if (parts.notice.querySelector(".locked")) parts.notice.replaceChildren();
  state();
  showReading();
  parts.changes.textContent = told.changed.join("\n") || say("nothing_changed");
  for (const line of document.querySelectorAll(".dose-told")) line.remove();
  if (told.dose.words) form.fields.get("dose")?.box.append(make("p", { className: "dose-told" }, make("b", {}, told.dose.words), ` ${told.dose.time}`));
  if (whole && told.page) showPage(told.page);
}
const slow = new Set(["sign-not-covered", "caution-missing", "sign-lower-tier"]);

function showPage(address) {
  const frame = parts.frame, at = frame.contentWindow?.scrollY || 0, where = `${up}${address}`;
  frame.onload = () => frame.contentWindow.scrollTo(0, at);
  frame.src = `${where}?${number}`;
}

function showReading() {
  const one = told.reading;
  parts.reading.replaceChildren(`${say("reading")}: `, make("b", {}, one.band), one.grades ? ` ${one.grades}` : "", one.against === "above" ? " " : "",
    one.against === "above" ? make("span", { className: "sev is-warning" }, say("above_target")) : "");
}

function state() {
  const errors = told.findings.filter(one => one.severity === "error").length;
  const name = told.stale ? "state_stale" : typed ? "state_draft" : "state_saved";
  parts.state.textContent = `${say(name)}${errors ? ` · ${say(errors === 1 ? "one_to_fix" : "to_fix", { count: errors })}` : told.unapproved ? ` · ${say("to_approve")}` : ""}`;
  parts.state.className = `save-state ${typed ? "is-open" : ""}`;
}

/** Say why something was not done: in the bar, which is always in sight, when the desk does not answer; and try again. */
function failed(error) {
  if (!(error instanceof Unanswered)) { say_line(error.message); return; }
  parts.lost.textContent = error.message;
  if (typed) parts.state.textContent = say("state_lost");
  clearTimeout(resting);
  resting = setTimeout(() => look(true), 5000);
}

function say_line(text) { parts.notice?.replaceChildren(make("p", { className: "offer", role: "alert" }, text)); }

function locked(name) {
  if (parts.notice.querySelector(".locked")) return;
  parts.notice.replaceChildren(make("div", { className: "offer locked", role: "alert" }, make("p", {}, say("locked", { who: name || say("somebody") })),
    button(say("lock_take"), () => ask("leave", { path, page, take: true }).then(() => { parts.notice.replaceChildren(); look(false); }, failed), { className: "small" })));
}

/** Take an easier word in place of a marked one. */
function use(mark) {
  const text = at(entry.value, mark.loc);
  put(entry.value, mark.loc, text.slice(0, mark.start) + mark.replacement + text.slice(mark.end));
  const area = document.querySelector(`.area[data-text="${CSS.escape(key(mark.loc))}"] textarea`);
  area.value = at(entry.value, mark.loc);
  area.dispatchEvent(new Event("input"));
  area.focus();
  announce(say("used", { word: mark.replacement }));
}

/** Save; when the file changed meanwhile the three states are laid side by side instead. */
async function save() {
  if (saving) return false;
  saving = true;
  try {
    const answer = await ask("save", { path, base: entry.base, value: entry.value });
    if (answer.conflicts) { conflict(answer); return false; }
    Object.assign(entry, { base: answer.base, value: answer.value, undo: true });
    typed = false;
    draw();
    await look(true);
    announce(say("saved"));
    return true;
  } catch (error) {
    if (!(error instanceof Refused)) throw error;
    failed(error);
    return false;
  } finally { saving = false; }
}

/** Take back the last change; with none left here, the last save. */
async function back() {
  if (past.length) {
    entry.value = past.pop();
    snapshots.pop();
    last = copy(entry.value);
    typed = true;
    draw();
    parts.back.disabled = !past.length && !entry.undo;
    look(true);
    announce(say("taken_back"));
    return;
  }
  try {
    const answer = await ask("undo", { path });
    Object.assign(entry, answer);
    typed = false;
    draw();
    look(true);
    announce(say("taken_back"));
  } catch (error) { failed(error); }
}

/** Three states side by side: as it was, as somebody saved it, as it was typed here. */
function conflict(answer) {
  const rows = answer.conflicts.map((one, index) => {
    const name = `c${index}`, pick = (which, text) => make("td", { role: "cell", "data-label": say(`conflict_${which}`) },
      make("p", { className: "tick-line" }, make("input", { type: "radio", name, value: which, id: `${name}-${which}`, checked: one.both ? which === "mine" : (which === "theirs") === (one.theirs !== one.base) }),
        make("label", { htmlFor: `${name}-${which}` }, ` ${say(`take_${which}`)}`)), make("pre", {}, text || "–"));
    return make("tr", { role: "row", "data-key": one.key, className: one.both ? "both" : "" }, make("th", { role: "rowheader", scope: "row" }, one.key.replace(/_/g, " ")),
      make("td", { role: "cell", "data-label": say("conflict_base") }, make("pre", {}, one.base || "–")), pick("theirs", one.theirs), pick("mine", one.mine));
  });
  const table = make("table", { className: "compare", role: "table" }, make("thead", { role: "rowgroup" }, make("tr", { role: "row" },
    ...["conflict_part", "conflict_base", "conflict_theirs", "conflict_mine"].map(one => make("th", { role: "columnheader", scope: "col" }, say(one))))),
  make("tbody", { role: "rowgroup" }, ...rows));
  const shell = dialog(say("conflict"), make("p", {}, say("conflict_about")), table, make("p", {}, button(say("conflict_join"), () => {
    const joined = copy(answer.value);
    for (const row of rows) {
      const mine = row.querySelector("input:checked")?.value === "mine", name = row.dataset.key;
      if (mine && name in entry.value) joined[name] = entry.value[name];
      else if (mine) delete joined[name];
    }
    Object.assign(entry, { value: joined, base: answer.theirs });
    typed = true;
    shell.close();
    draw();
    look(true);
  }, { className: "button main" })));
}

addEventListener("keydown", event => {
  if ((event.ctrlKey || event.metaKey) && event.key.toLowerCase() === "s") { event.preventDefault(); save(); }
});
addEventListener("pagehide", () => {
  navigator.sendBeacon?.(`${up}ask/leave`, new Blob([JSON.stringify({ path, page })], { type: "application/json" }));
});
addEventListener("hashchange", () => { if (decodeURIComponent(location.hash.slice(1)) !== path && !location.hash.startsWith("#part-")) location.reload(); });
setInterval(() => { if (!document.hidden && form) look(false); }, 30000);
open();
