/* “Add to plan” on exercise pages and in the finder. The plan being made lives in this tab only. */
(function () {
  "use strict";
  /** @type {Limberleaf} */
  var L = window.limberleaf, words = document.getElementById("plan-words");
  if (!words) return;
  var say = words.dataset;

  function has(code, side) {
    return L.draft.get().picks.some(function (pick) { return pick.code === code && (!side || pick.side === side); });
  }

  function link() {
    var count = L.draft.get().picks.length;
    words.hidden = !count;
    words.style.visibility = "";
    words.parentNode.classList.toggle("open", count > 0);
    words.textContent = say.open.replace("{number}", count);
    fresh(count > 0 && L.draft.handed());
  }

  /* After a plan was handed over: say that it is still the one that grows, and offer a new one. */
  function fresh(on) {
    var note = document.getElementById("plan-handed");
    if (!on || note) { if (note) note.hidden = !on; return; }
    note = document.createElement("span");
    note.id = "plan-handed";
    note.textContent = say.handed + " ";
    var button = document.createElement("button");
    button.type = "button";
    button.textContent = say.fresh;
    button.addEventListener("click", function () {
      L.draft.set(L.newPlan());
      L.draft.handOver(false);
      var height = note.offsetHeight;
      note.id = "";
      note.setAttribute("role", "status");
      note.textContent = say.began;
      paint();
      // What stood here keeps its place, so that no other button comes under the pointer.
      note.style.cssText = "display: inline-block; min-height: " + height + "px";
      words.hidden = false;
      words.style.visibility = "hidden";
      words.parentNode.classList.add("open");
    });
    note.appendChild(button);
    words.parentNode.insertBefore(note, words.nextSibling);
  }

  function add(button) {
    var plan = L.draft.get(), own = button.dataset, side = own.side || "none";
    var at = plan.picks.findIndex(function (pick) { return pick.code === own.code && pick.side === side; });
    if (at >= 0) plan.picks.splice(at, 1);
    else if (plan.picks.length >= L.most) { button.textContent = say.full; return; }
    else plan.picks.push({ code: own.code, side: side, version: +own.version || 1, changes: {}, star: false });
    var handed = L.draft.handed();
    if (!L.draft.set(plan)) { button.textContent = say.failed; return; }
    if (handed) L.draft.handOver(true);
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
  /* Opened from a plan: show its dose here too. */
  (function () {
    var place = document.querySelector("section[data-own]"), plan = place && L.read(location.hash).plan;
    L.pick = plan && plan.picks.filter(function (pick) { return pick.code === place.dataset.code; })[0];
    if (!L.pick) return;
    window.limberleafExercise = function (_code, exercise) { L.exercise = exercise; };
    place.dataset.own.split(" ").reduce(function (before, address) {
      return before.then(function () {
        return new Promise(function (resolve) {
          var script = document.createElement("script");
          script.src = address;
          script.onload = resolve;
          document.head.appendChild(script);
        });
      });
    }, Promise.resolve());
  })();
  window.addEventListener("pageshow", paint);
  paint();
})();
