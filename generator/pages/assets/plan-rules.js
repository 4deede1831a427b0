/* The rules of making a plan, without a page: what was typed, a better order, what to stop, two plans in one, the lines
   for the record. Twins of generator/plan/order.py, resolve.py and notes.py, held to the same cases. */
(function () {
  "use strict";
  /** @type {Limberleaf} */
  var L = window.limberleaf, say = L.say;

  /* Read what a clinician types: codes with sides and doses ("kn-03L kn-06L 3x8 10s 2/day 3/week"). Gives picks to be, each
     {code, side, changes, typed}; a dose belongs to the code before it. `rest` is what could not be read. Twin of
     generator/plan/typed.py. */
  L.typed = function (text) {
    var found = [], rest = [], part;
    var one = /([a-z]{2,4})[ -]?([0-9]{1,3})[ -]?(left|right|both|[lrb])?(?![a-z0-9])|([0-9]{1,2})[x×]([0-9]{1,3})(?![0-9])|([0-9]{1,4}) ?s(?:ec)?(?![a-z])|([0-9])\/d(?:ay)?(?![a-z])|([0-9])\/w(?:eek)?(?![a-z])|[^\s,;]+/gi;
    while ((part = one.exec(String(text).slice(0, 400)))) {
      var last = found[found.length - 1];
      if (part[1]) {
        var side = { l: "left", r: "right", b: "turn" }[(part[3] || "").charAt(0).toLowerCase()] || "none";
        found.push({ code: part[1].toLowerCase() + "-" + ("0" + part[2]).slice(part[2].length < 2 ? -2 : -part[2].length), side: side, changes: {}, typed: part[0].trim() });
      } else if (!last || !(part[4] || part[6] || part[7] || part[8])) rest.push(part[0]);
      else if (part[4]) { last.changes.sets = +part[4]; last.changes.repetitions = +part[5]; }
      else if (part[6]) last.changes.hold = +part[6];
      else if (part[7]) last.changes.times_a_day = +part[7];
      else last.changes.days_a_week = +part[8];
    }
    return { picks: found, rest: rest };
  };

  /* Give a better order, or null: twin of generator/plan/order.py. */
  L.order = function (chosen) {
    function place(one) { return one.exercise.place[1]; }
    function travel(list) {
      return list.reduce(function (sum, one, i) { return sum + (i && Math.abs(one.exercise.place[0] - list[i - 1].exercise.place[0])); }, 0);
    }
    var down = chosen.slice().sort(function (a, b) { return place(a) - place(b); });
    var up = chosen.slice().sort(function (a, b) { return place(b) - place(a); });
    var better = down.indexOf(chosen[0]) <= up.indexOf(chosen[0]) ? down : up;
    return travel(better) < travel(chosen) ? better : null;
  };

  /* Name what the ladders of the chosen exercises say to stop. */
  L.replacedBy = function (chosen) {
    var codes = [];
    chosen.forEach(function (one) {
      one.exercise.replaces.forEach(function (code) { if (codes.indexOf(code) < 0) codes.push(code); });
    });
    return codes;
  };

  /* Name the exercises whose dose asks for more days than were chosen. */
  L.fewDays = function (found) {
    return found.chosen.filter(function (one) {
      var often = one.dose.days_a_week[1];
      return found.plan.days.length && found.plan.days.length < often && often < 7;
    });
  };

  /* Put what another plan holds into this one. Gives the picks that came in; what is there already stays as it is. */
  L.merge = function (plan, other) {
    var came = other.picks.filter(function (pick) {
      var there = plan.picks.some(function (own) { return own.code === pick.code && own.side === pick.side; });
      return !there && plan.picks.length < L.most && plan.picks.push(Object.assign({}, pick, { star: false }));
    });
    if (came.length === plan.picks.length) plan.weeks = other.weeks;
    other.notes.forEach(function (name) {
      if (plan.notes.indexOf(name) < 0 && plan.notes.length < L.mostNotes) plan.notes.push(name);
    });
    return came;
  };

  /* Give a text to send with the link: nothing in it tells what the plan is for. */
  L.message = function (link) {
    return say("plan.message", { clinic: L.data.clinic, phone: L.data.phone, link: link });
  };

  /* Give the lines for the clinical record: twin of generator/plan/notes.py. */
  L.notes = function (found, link) {
    var plan = found.plan, known = {};
    function span(pair) { return pair[0] === pair[1] ? String(pair[0]) : pair[0] + "-" + pair[1]; }
    var lines = [say("plan.notes.head", { n: plan.weeks, number: plan.weeks })];
    found.chosen.forEach(function (one) {
      var pick = one.pick, dose = one.dose, sets = dose.sets || [1, 1], amount;
      known[pick.code] = true;
      var parts = [L.code(pick.code) + " v" + pick.version + " " + one.exercise.texts.none.title];
      if (one.exercise.sides === "one") parts.push(say("plan.notes.sides." + pick.side));
      else if (one.exercise.sides === "each") parts.push(say("plan.notes.sides.turn"));
      if (dose.duration) amount = say("plan.notes.seconds", { number: span(dose.duration) });
      else if (dose.most) amount = say("plan.notes.most", { number: dose.most });
      else amount = span(dose.repetitions || [1, 1]);
      parts.push(span(sets) + " x " + amount);
      if (dose.hold && dose.hold[1]) parts.push(say("plan.notes.hold", { number: span(dose.hold) }));
      if (L.hasRest(dose)) parts.push(say("plan.notes.rest", { number: span(dose.rest) }));
      if (dose.every && !dose.times_a_day) {
        parts.push(say("plan.notes.every", { number: span([Math.floor(dose.every[0] / 60), Math.floor(dose.every[1] / 60)]) }));
      } else parts.push(say("plan.notes.times_a_day", { number: span(L.totals(dose, one.sides).times_a_day) }));
      parts.push(say("plan.notes.days_a_week", { number: span(dose.days_a_week) }));
      if (pick.star) parts.push(say("plan.notes.star"));
      lines.push(parts.join(", "));
    });
    plan.picks.forEach(function (pick) {
      if (!known[pick.code]) lines.push(say("plan.notes.missing", { code: L.code(pick.code) }));
    });
    if (plan.days.length) lines.push(say("plan.notes.days", { days: L.dayNames(plan.days) }));
    plan.notes.forEach(function (name) { lines.push(say("plan.notes.note", { name: L.code(name), text: L.data.notes[name] || "" }).trim()); });
    if (plan.review) lines.push(say("plan.notes.review", { day: plan.review }));
    if (found.stop.length) {
      lines.push(say("plan.notes.stop", { exercises: found.stop.map(function (one) { return (L.code(one.code) + " " + one.title).trim(); }).join(", ") }));
    }
    lines.push(say("plan.notes.link", { link: link }));
    return lines;
  };
})();
