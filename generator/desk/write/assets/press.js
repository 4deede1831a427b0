/* Whether somebody is pressing something right now. Whatever would change the page waits for it: an element that is replaced
   or moves between the press and the release never gets its click. */
"use strict";

const pointers = new Set(), waiting = [];
let held = false;

/** Wait until nothing is being pressed; at once when nothing is. */
export function unpressed() {
  if (!pointers.size && !held) return Promise.resolve();
  return new Promise((done) => waiting.push(done));
}

/** After the release comes the click, in the same turn: only then may the page change. */
function release() {
  setTimeout(() => {
    if (pointers.size || held) return;
    for (const done of waiting.splice(0)) done();
  });
}

function let_go(id) {
  if (pointers.delete(id)) release();
}

addEventListener("pointerdown", (event) => pointers.add(event.pointerId), true);
for (const name of ["pointerup", "pointercancel"]) {
  addEventListener(name, (event) => let_go(/** @type {PointerEvent} */ (event).pointerId), true);
}
addEventListener("pointermove", (event) => { // a release outside the window, or over the list of a select, tells nobody
  if (!event.buttons) let_go(event.pointerId);
}, true);
addEventListener("keydown", (event) => {
  if (event.key === " " && event.target.matches?.("button, summary, input:not([type=text], [type=search])")) {
    held = true;
  }
}, true);
addEventListener("keyup", () => {
  if (held) release();
  held = false;
}, true);
for (const name of ["blur", "change"]) {
  addEventListener(name, (event) => {
    if (name === "blur" ? event.target !== window : !event.target.matches?.("select")) return;
    pointers.clear();
    held = false;
    release();
  }, true);
}
