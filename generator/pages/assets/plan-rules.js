/* The rules of making a plan, without a page: what was typed, a better order, what to stop, two plans in one, the lines
   for the record. Twins of generator/plan/order.py, resolve.py and notes.py, held to the same cases. */
(function () {
  "use strict";
  /** @type {Limberleaf} */
  var L = window.limberleaf, say = L.say;

  /* Read what a clinician types: codes with sides and doses, and what is for the whole plan ("kn-03L 2x kn-06r 3x8 10s
     2/day 3d 4w mon wed"). Twin of generator/plan/typed.py, which tells the grammar. Gives picks to be, each
     {code, side, changes, range, typed}; `last` is for the exercise added before; `rest` could not be read, or was typed
     before with another value. */
  L.mostTyped = 2000;
  L.typed = function (text) {
    var whole = { picks: [], last: blank(""), weeks: 0, days: [], review: "", notes: [], rest: [], any: false }, part;
    var one = new RegExp(GRAMMAR, "gi");
    if (text.length > L.mostTyped) {
      whole.rest.push(text);
      return whole;
    }
    text = text.replace(/\s+/g, " ");
    while ((part = one.exec(text))) {
      // a day, with a number behind it
      if (part[1] && part[0].indexOf(" ") > 0 && dayOf(part[1])) {
        one.lastIndex = part.index + part[1].length;
        part = [part[1]];
      }
      if (!take(whole, part)) whole.rest.push(part[0]);
    }
    whole.any = !!(whole.picks.length || whole.last.typed || whole.weeks || whole.days.length || whole.review || whole.notes.length);
    return whole;
  };
  // Behind a number of repeats: it is not the beginning of 2/day or of 10 s.
  var ALONE = "(?![a-z0-9-]| ?x? ?/| (?:s|sec|m|min|d|days?|w|wk|weeks?)(?![a-z0-9]))";
  var GRAMMAR = [
    "([a-z]{2,4})[ -]?([0-9]{1,3})[ -]?(left|right|both|[lrb])?(?![a-z0-9/×])", // 1 2 3: kn-03r
    "(20[0-9]{2}-[0-9]{2}-[0-9]{2})(?![0-9])", // 4: 2027-01-04
    "([0-9]) ?x? ?/ ?(d|w)[a-z]*", // 5 6: 2/day, 3x/week
    "([0-9]{1,2}) ?[x×](?: ?([0-9]{1,3})(?:-([0-9]{1,3}))?" + ALONE + ")?(?![a-z0-9-])", // 7 8 9: 2x, 2x10, 2x8-12
    "[x×] ?([0-9]{1,3})" + ALONE, // 10: x10
    "(?:([0-9]{1,3}) ?m(?:in)? ?(?=[0-9]{1,2} ?s))?([0-9]{1,4}) ?(s|sec|m|min|d|days?|w|wk|weeks?)(?![a-z0-9])", // 11 12 13: 10s, 1 min 30 s, 3d, 4w
    "(left|right|both|[lrb])(?![a-z0-9])", // 14: r
    "[^\\s,;،؛]+",
  ].join("|");

  function blank(code) { return { code: code, side: "none", changes: {}, typed: "" }; }
  function sideOf(word) { return { l: "left", r: "right", b: "turn" }[(word || "").charAt(0).toLowerCase()] || "none"; }

  /* Take one part of what was typed; false when it cannot be read, or was typed for the same exercise before. */
  function take(whole, part) {
    var last = whole.picks[whole.picks.length - 1] || whole.last, unit = (part[13] || "").charAt(0).toLowerCase(), day, own = {};
    if (part[1] && part[1].toLowerCase() === "note" && !part[3]) { whole.notes.push("note-" + padded(part[2])); return true; }
    if (part[1]) {
      last = blank(part[1].toLowerCase() + "-" + padded(part[2]));
      last.side = sideOf(part[3]);
      whole.picks.push(last);
    } else if (part[4]) return L.isDay(part[4]) && (whole.review = whole.review || part[4]) === part[4];
    else if (unit === "w") return !!+part[12] && (whole.weeks = whole.weeks || +part[12]) === +part[12];
    else if (part[14]) {
      if (last.side !== "none") return false;
      last.side = sideOf(part[14]);
    } else if (part[5]) own[part[6].toLowerCase() === "d" ? "times_a_day" : "days_a_week"] = +part[5];
    else if (part[7]) {
      own.sets = +part[7];
      if (part[8]) own.repetitions = part[9] ? [+part[8], +part[9]] : +part[8];
    } else if (part[10]) own.repetitions = +part[10];
    else if (unit === "d") own.days_a_week = +part[12];
    else if (unit) own.hold = +(part[11] || 0) * 60 + part[12] * (unit === "m" ? 60 : 1);
    else if ((day = dayOf(part[0]))) {
      if (whole.days.indexOf(day) < 0) whole.days = whole.days.concat(day).sort();
      return true;
    } else return false;
    if (Object.keys(own).some(function (name) { return name in last.changes || (last.range && name === "repetitions"); })) return false;
    if (part[9]) {
      last.range = own.repetitions;
      delete own.repetitions;
    }
    Object.assign(last.changes, own);
    last.typed = last.typed || part[0].trim();
    return true;
  }
  function padded(number) { return ("0" + number).slice(number.length < 2 ? -2 : -number.length); }

  /* Give the day of the week, 1 to 7, that a word names: its short name, or three letters or more with which no other day
     begins; 0 for none. */
  function dayOf(word) {
    word = word.toLowerCase();
    var short = L.data.days.findIndex(function (name) { return name.toLowerCase() === word; }) + 1, begun = [];
    L.data.date.weekdays.forEach(function (name, at) { if (name.toLowerCase().startsWith(word)) begun.push(at + 1); });
    return short || (word.length > 2 && begun.length === 1 ? begun[0] : 0);
  }

  /* Give the numbers typed for an exercise by their names in its dose: a time is its hold, or how long it takes where it has
     none; a range of repeats is the usual one, or no number a plan can hold. */
  L.numbersOf = function (typed, exercise) {
    var own = Object.assign({}, typed.changes);
    if (own.hold && !exercise.limits.hold && exercise.limits.duration) {
      own.duration = own.hold;
      delete own.hold;
    }
    if (typed.range && String(typed.range) !== String(exercise.dose.repetitions)) own.repetitions = typed.range.join("-");
    return own;
  };

  /* Give the entries that a code typed again is for; none when it is a new one, as the other side is. Twin of typed.py. */
  L.same = function (picks, code, side) {
    var own = picks.filter(function (pick) { return pick.code === code; });
    var at = own.filter(function (pick) { return pick.side === side; });
    if (!at[0]) at = own.filter(function (pick) { return pick.side === "none"; });
    return side === "none" || (!at[0] && own[0] && (side === "turn" || own[0].side === "turn")) ? own : at;
  };

  /* Give for how many weeks a plan begun on `today` runs when it is to last until `day`. */
  L.weeksUntil = function (day, today) { return Math.ceil((Date.parse(day) - Date.parse(today)) / 604800000); };

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

  /* Say which exercises ask for more days than were chosen, and that the days are for nothing where all is for every day. */
  L.dayRemarks = function (found) {
    var some = found.chosen.filter(function (one) { return L.ownDays(one, found.plan); });
    if (found.plan.days.length && found.chosen.length && !some.length) return [{ code: "days_unused" }];
    return some.filter(function (one) { return found.plan.days.length < one.dose.days_a_week[1]; })
      .map(function (one) { return { code: "few_days", values: { code: L.code(one.pick.code) } }; });
  };

  /* Put what another plan holds into this one. Gives the picks that came in; what is there already stays as it is. */
  L.merge = function (plan, other) {
    var came = [];
    other.picks.forEach(function (pick) {
      var there = plan.picks.some(function (own) { return own.code === pick.code && (own.side === pick.side || pick.side === "none"); });
      if (there || plan.picks.length >= L.most) return;
      came.push(Object.assign({}, pick, { star: false }));
      plan.picks.push(came[came.length - 1]);
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

  function span(pair) { return pair[0] === pair[1] ? String(pair[0]) : pair[0] + "-" + pair[1]; }

  /* Give the line of one exercise in the record, its days with it where it is not for every day. */
  function noteLine(one, plan) {
    var pick = one.pick, dose = one.dose, often = dose.days_a_week, amount;
    var parts = [L.code(pick.code) + " v" + pick.version + " " + one.exercise.texts.none.title];
    if (one.exercise.sides === "one") parts.push(say("plan.notes.sides." + pick.side));
    else if (one.exercise.sides === "each") parts.push(say("plan.notes.sides.turn"));
    if (dose.duration) amount = say("plan.notes.seconds", { number: span(dose.duration) });
    else if (dose.most) amount = say("plan.notes.most", { number: dose.most });
    else amount = span(dose.repetitions || [1, 1]);
    parts.push(span(dose.sets || [1, 1]) + " x " + amount);
    if (dose.hold && dose.hold[1]) parts.push(say("plan.notes.hold", { number: span(dose.hold) }));
    if (L.hasRest(dose)) parts.push(say("plan.notes.rest", { number: span(dose.rest) }));
    if (dose.every && !dose.times_a_day) {
      parts.push(say("plan.notes.every", { number: span([Math.floor(dose.every[0] / 60), Math.floor(dose.every[1] / 60)]) }));
    } else parts.push(say("plan.notes.times_a_day", { number: span(L.totals(dose, one.sides).times_a_day) }));
    parts.push(say("plan.notes.days_a_week", { n: often[1], number: span(often) }) + (L.ownDays(one, plan) ? " (" + L.ownDays(one, plan) + ")" : ""));
    if (pick.star) parts.push(say("plan.notes.star"));
    return parts.join(", ");
  }
  L.lineOf = function (one, plan) { return noteLine(one, plan).replace(/ v[0-9]+/, ""); };

  /* Give the lines for the clinical record: twin of generator/plan/notes.py. */
  L.notes = function (found, link) {
    var plan = found.plan, lines = [say("plan.notes.head", { n: plan.weeks, number: plan.weeks })]
      .concat(found.chosen.map(function (one) { return noteLine(one, plan); }));
    plan.picks.forEach(function (pick) {
      if (found.chosen.every(function (one) { return one.pick !== pick; })) lines.push(say("plan.notes.missing", { code: L.code(pick.code) }));
    });
    plan.notes.forEach(function (name) { lines.push(say("plan.notes.note", { name: L.code(name), text: L.data.notes[name] || "" }).trim()); });
    if (plan.review) lines.push(say("plan.notes.review", { day: plan.review }));
    if (found.stop.length) {
      lines.push(say("plan.notes.stop", { exercises: found.stop.map(function (one) { return (L.code(one.code) + " " + one.title).trim(); }).join(", ") }));
    }
    lines.push(say("plan.notes.link", { link: link }));
    return lines;
  };

  /* Say what a step back took out of a plan and what it put back, by the lines of the record before and after it. */
  L.changes = function (was, now) {
    var out = without(was, now), back = without(now, was).map(function (line) {
      var parts = line.split(", "), old = out.filter(function (one) { return one.split(", ")[0] === parts[0]; })[0];
      if (!old) return brief(line);
      out.splice(out.indexOf(old), 1);
      parts = [parts[0]].concat(without(parts, old.split(", ")));
      return parts.length > 1 ? parts.join(", ") : line;
    });
    return [["put_back", back], ["taken_out", out.map(brief)]].filter(function (one) { return one[1].length; }).map(function (one) {
      return say("plan.make." + one[0], { lines: one[1].join("; ").replace(/([A-Z]-[0-9]+) v[0-9]+|:(?=;|$)/g, "$1") });
    }).join(" ") || say("plan.make.undone");
  };
  function without(list, other) { return list.filter(function (one) { return other.indexOf(one) < 0; }); }
  /* An exercise is known by its name and side. */
  function brief(line) { return /^[A-Z]+-[0-9]+ v/.test(line) ? line.split(", ").slice(0, 2).join(", ") : line; }
})();
