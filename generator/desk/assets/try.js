/* The try-out box: sends the words to the desk on this machine a moment after the last key, and shows the answer. */
(() => {
  "use strict";
  const form = document.querySelector(".try");
  if (!form) return;
  const text = form.querySelector("textarea"), kind = form.querySelector("#try-kind");
  const language = form.querySelector("#try-language"), status = form.querySelector("[role=status]");
  const answer = form.querySelector(".tried");
  let waiting = 0, number = 0;

  async function ask() {
    const mine = ++number;
    if (!text.value.trim()) {
      answer.replaceChildren();
      status.textContent = "";
      return;
    }
    let html = "", line = "The desk does not answer. Is it still running?";
    try {
      const reply = await fetch(form.dataset.address, {
        method: "POST",
        headers: { "Content-Type": "application/json" },
        body: JSON.stringify({ text: text.value, kind: kind.value, language: language.value }),
      });
      if (reply.ok) html = (await reply.json()).html;
      else line = await reply.text();
    } catch { /* handled below */ }
    if (mine !== number) return;
    if (html) {
      answer.innerHTML = html;
      line = answer.querySelector(".tried-line")?.textContent || "";
    } else {
      const note = document.createElement("p");
      note.textContent = line;
      answer.replaceChildren(note);
    }
    status.textContent = line;
  }

  const soon = () => {
    clearTimeout(waiting);
    waiting = setTimeout(ask, 250);
  };
  form.hidden = false;
  document.querySelector(".try-without").hidden = true;
  form.addEventListener("submit", (event) => event.preventDefault());
  form.addEventListener("input", soon);
  for (const button of document.querySelectorAll("[data-try]")) {
    button.hidden = false;
    button.addEventListener("click", () => {
      text.value = button.dataset.try;
      kind.value = button.dataset.kind;
      text.focus();
      ask();
    });
  }
  if (text.value) ask();
})();
