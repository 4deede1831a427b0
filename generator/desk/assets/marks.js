/* Marks: their notes beside the words on hover and focus. Escape puts the note away; the pointer may go into it. */
(() => {
  "use strict";
  const tip = document.createElement("div");
  tip.className = "tip";
  tip.hidden = true;
  document.body.append(tip);
  let lit = [], leaving = 0;

  function notesOf(target) {
    const mark = target.closest("mark[data-notes]"), ref = target.closest(".ref");
    const ids = mark ? mark.dataset.notes.split(" ") : ref ? [ref.hash.slice(1)] : [];
    return ids.map((id) => document.getElementById(id)).filter(Boolean);
  }

  function open(target) {
    const notes = notesOf(target);
    if (!notes.length) return;
    close();
    const pieces = notes.flatMap((note, index) => {
      const lines = [...note.querySelectorAll(".note-head strong, p.says")].map((piece) => {
        const line = document.createElement("p");
        line.textContent = piece.textContent;
        if (piece.matches("strong")) line.className = "instead";
        return line;
      });
      return index ? [document.createElement("hr"), ...lines] : lines;
    });
    tip.replaceChildren(...pieces);
    tip.hidden = false;
    const near = target.closest("mark, .ref").getClientRects()[0];
    const wide = document.documentElement.clientWidth;
    tip.style.left = `${Math.max(8, Math.min(near.left, wide - tip.offsetWidth - 8)) + scrollX}px`;
    const above = near.top > tip.offsetHeight + 8;
    tip.style.top = `${(above ? near.top - tip.offsetHeight - 4 : near.bottom + 4) + scrollY}px`;
    lit = [...notes, ...document.querySelectorAll(notes.map((note) => `mark[data-notes~="${note.id}"]`).join())];
    for (const one of lit) one.classList.add("lit");
  }

  function close() {
    clearTimeout(leaving);
    tip.hidden = true;
    for (const one of lit) one.classList.remove("lit");
    lit = [];
  }

  const later = () => {
    clearTimeout(leaving);
    leaving = setTimeout(close, 250);
  };
  document.addEventListener("mouseover", (event) => {
    if (event.target.closest("mark[data-notes], .ref")) open(event.target);
  });
  document.addEventListener("mouseout", (event) => {
    if (event.target.closest("mark[data-notes], .ref")) later();
  });
  tip.addEventListener("mouseenter", () => clearTimeout(leaving));
  tip.addEventListener("mouseleave", later);
  document.addEventListener("focusin", (event) => {
    if (event.target.matches(".ref:focus-visible")) open(event.target);
  });
  document.addEventListener("focusout", (event) => {
    if (event.target.matches(".ref")) close();
  });
  document.addEventListener("keydown", (event) => {
    if (event.key === "Escape") close();
  });
  document.addEventListener("click", (event) => {
    if (event.target.closest(".ref, .note-head a")) close();
  });
})();
