/* “Add to plan” on exercise pages and in the finder. The plan being made lives in this tab only. */
(function () {
  "use strict";
  var L = window.limberleaf, words = document.getElementById("plan-words");
  if (!words) return;
  var say = words.dataset;

  function has(code, side) {
    return L.draft.get().picks.some(function (pick) { return pick.code === code && (!side || pick.side === side); });
  }

  function link() {
    var count = L.draft.get().picks.length;
    words.hidden = !count;
    words.textContent = say.open.replace("{number}", count);
  }

  function add(button) {
    var plan = L.draft.get(), own = button.dataset, side = own.side || "none";
    var at = plan.picks.findIndex(function (pick) { return pick.code === own.code && pick.side === side; });
    if (at >= 0) plan.picks.splice(at, 1);
    else if (plan.picks.length >= L.most) { button.textContent = say.full; return; }
    else plan.picks.push({ code: own.code, side: side, version: 1, changes: {}, star: false });
    if (!L.draft.set(plan)) { button.textContent = say.failed; return; }
    paint();
  }

  function paint() {
    document.querySelectorAll("button.plan-add").forEach(function (button) {
      var on = has(button.dataset.code, button.dataset.side);
      button.setAttribute("aria-pressed", String(on));
      button.textContent = on ? "✓ " + say.added : say.add;
    });
    link();
  }

  document.querySelectorAll("button.plan-add").forEach(function (button) { button.hidden = false; });
  /* In the finder each result gets its button here, so that a long list stays light. */
  if (say.on === "cards") document.querySelectorAll("li[data-code] .card").forEach(function (card) {
    var button = document.createElement("button");
    button.type = "button";
    button.className = "plan-add";
    button.dataset.code = card.parentNode.dataset.code;
    button.textContent = say.add;
    button.setAttribute("aria-label", say.add + ": " + card.querySelector("a").textContent.trim());
    card.querySelector("div").appendChild(button);
  });
  document.addEventListener("click", function (event) {
    var button = event.target.closest("button.plan-add");
    if (button) add(button);
  });
  window.addEventListener("pageshow", paint);
  paint();
})();
