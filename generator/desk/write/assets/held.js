/* Where somebody's cursor is, in words that still hold once the form is drawn again. */
"use strict";

const CONTROLS = "textarea, input, select, button";

/** The cursor's place in the form; null when it is elsewhere. */
export function heldPlace() {
  const at = /** @type {HTMLInputElement} */ (document.activeElement), box = at?.closest?.(".writing [data-loc]");
  if (!box) return null;
  const index = [...box.querySelectorAll(CONTROLS)].indexOf(at);
  return { loc: /** @type {HTMLElement} */ (box).dataset.loc, index, start: at.selectionStart, end: at.selectionEnd };
}

/** Put the cursor back where it was. */
export function holdAgain(place) {
  const box = place && document.querySelector(`.writing [data-loc="${CSS.escape(place.loc)}"]`);
  const control = /** @type {HTMLInputElement} */ (box?.querySelectorAll(CONTROLS)[place.index]);
  if (!control) return;
  control.focus({ preventScroll: true });
  if (typeof place.start === "number") control.setSelectionRange(place.start, place.end);
}
