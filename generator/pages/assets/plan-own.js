/* An exercise's own page, opened from a plan that changed its dose: every number on it becomes the plan's, one line says
   so, and the way back leads to the plan. Loaded by plan-add.js only when the address carries such a plan. */
(function () {
  "use strict";
  /** @type {Limberleaf} */
  var L = window.limberleaf, section = document.querySelector("section.dose"), say = L.say;
  var own = L.doseOf(L.pick, L.exercise), sides = L.sidesOf(L.pick, L.exercise), words = L.blanks(own.dose);
  var changed = Object.keys(L.pick.changes).some(function (name) { return own.refused.indexOf(name) < 0; });

  function put(selector, text) {
    var place = document.querySelector(selector);
    if (place) place.textContent = text;
  }

  function fill() {
    document.querySelectorAll("[data-dose]").forEach(function (place) {
      var text = words[place.dataset.dose];
      if (text) place.textContent = "begins" in place.dataset ? L.capital(text) : text;
    });
    document.querySelectorAll(".sign[aria-label]").forEach(function (sign) {
      if (words.hold) sign.setAttribute("aria-label", say("dose.hold_once", { time: words.hold }));
    });
    put(".facts .time", L.timeNeeded(own.dose, sides));
    put("section.dose .dose-words", L.spoken(own.dose, sides));
    put("section.dose .total", L.totalLine(own.dose, sides));
    var cells = section.querySelector(".cells");
    cells.textContent = "";
    L.cells(own.dose, sides).forEach(function (cell) {
      var item = document.createElement("li"), number = document.createElement("b"), label = document.createElement("span");
      number.textContent = cell[0];
      label.textContent = cell[1];
      item.append(number, " ", label);
      cells.appendChild(item);
    });
  }

  function tell() {
    var note = document.createElement("p"), back = document.createElement("a");
    note.className = "plan-note own-dose";
    note.setAttribute("role", "status");
    back.href = section.dataset.plan + location.hash;
    back.textContent = say("plan.back_to_plan");
    if (changed) note.append(say("plan.own_dose", { dose: L.spoken(own.dose, sides) }), " ");
    note.appendChild(back);
    document.querySelector("article.sheet .head").appendChild(note);
  }

  if (changed || sides !== L.exercise.sides) fill();
  tell();
})();
