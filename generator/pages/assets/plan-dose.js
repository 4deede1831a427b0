/* The arithmetic and the words of a dose: the twin of generator/clinical/dosage/dose.py. Both are held to the same table of
   cases. Numbers are pairs, [lowest, highest]; times are in seconds. */
(function () {
  "use strict";
  /** @type {Limberleaf} */
  var L = window.limberleaf = Object.prototype.hasOwnProperty.call(window, "limberleaf") ? window.limberleaf : {}; // not the element of that name
  var ONE = [1, 1], NONE = [0, 0];
  var data = null, plural = null;

  /* Take what is the same on every page of a language (assets/plan-<language>.js). The first one is the page's own. */
  L.languages = {};
  window.limberleafPlan = L.take = function (given) {
    L.languages[given.language] = { data: given, plural: new Intl.PluralRules(given.language) };
    if (!data) speak(given.language);
  };
  function speak(language) {
    L.data = data = L.languages[language].data;
    plural = L.languages[language].plural;
  }

  /* Do something in the words of another language that was loaded, for an exercise the page's own does not have. */
  L.speaking = function (language, act) {
    var own = data.language;
    speak(language || own);
    try { return act(); } finally { speak(own); }
  };

  /* Days of a week on which exercise days fall, counted from the first (generator/plan/calendar.py). */
  L.spread = { 1: [0], 2: [0, 3], 3: [0, 2, 4], 4: [0, 2, 4, 6], 5: [0, 1, 3, 4, 5], 6: [0, 1, 2, 3, 4, 5], 7: [0, 1, 2, 3, 4, 5, 6] };

  /* Give the days, 0 to 6, of something done on so many days a week: as chosen (1 Monday ... 7 Sunday; 0 is Monday then),
     or spread from the first day of all (generator/plan/days.py). */
  L.daysOf = function (often, chosen) {
    often = Math.min(Math.max(often, 1), 7);
    if (often === 7 || !chosen.length) return L.spread[often];
    if (often >= chosen.length) return chosen.map(function (day) { return day - 1; });
    return L.spread[often].map(function (_, at) { return chosen[Math.floor(at * chosen.length / often)] - 1; });
  };

  /* Name the days of an exercise that is not for every day, where the plan says which they are. */
  L.ownDays = function (one, plan) {
    var often = one.dose.days_a_week[1];
    return !plan.days.length || often > 6 ? "" : L.dayNames(L.daysOf(often, plan.days).map(function (day) { return day + 1; }));
  };

  /* Say that the day on which the plan was to be looked at again is past, where it is. */
  L.over = function (plan) { return plan.review && plan.review < L.today() ? say("plan.over", { day: L.dayWords(plan.review) }) : ""; };

  /* Tell whether a chosen exercise is for today, by the days of its plan; a plan without days leaves them to the reader. */
  L.isToday = function (one, plan) {
    var today = (new Date(L.today()).getUTCDay() + 6) % 7;
    return !plan.days.length || L.daysOf(one.dose.days_a_week[1], plan.days).indexOf(today) >= 0;
  };

  /* Name days of the week in a row. */
  L.dayNames = function (days) { return L.listed(days.map(function (day) { return data.date.weekdays[day - 1]; })); };

  /* Give words in a row, with the comma of the language's script. */
  L.listed = function (words) { return words.join(data.marks[0]); };

  /* Give today where the reader is, such as 2026-12-07. */
  L.today = function () {
    var now = new Date();
    return new Date(now.getTime() - now.getTimezoneOffset() * 60000).toISOString().slice(0, 10);
  };

  /* Write a day such as 2026-12-07 with its weekday, as the language does. */
  L.dayWords = function (day) {
    var names = data.date;
    return put(names.pattern, {
      weekday: names.weekdays[(new Date(day).getUTCDay() + 6) % 7], day: +day.slice(8),
      month: names.months[day.slice(5, 7) - 1], year: day.slice(0, 4),
    });
  };

  function put(phrase, values) {
    return phrase.replace(/\{([a-z]+)\}/g, function (whole, name) { return values && name in values ? values[name] : whole; });
  }

  /* Give a phrase with its values; its plural form is chosen by `n`. */
  L.say = function (key, values) {
    var phrase = key.split(".").reduce(function (group, step) { return group[step]; }, data.words);
    if (typeof phrase !== "string") phrase = phrase[plural.select(values.n)] || phrase.other;
    return put(phrase, values);
  };
  var say = L.say;

  function same(a, b) { return a[0] === b[0] && a[1] === b[1]; }
  function times(time, by) { return [time[0] * by[0], time[1] * by[1]]; }
  function plus(a, b) { return [a[0] + b[0], a[1] + b[1]]; }

  /* Give the dose of a pick: the exercise's own, with the changes its limits allow. `refused` names the others. */
  L.doseOf = function (pick, exercise) {
    var dose = Object.assign({}, exercise.dose), refused = [];
    Object.keys(pick.changes).forEach(function (name) {
      var limit = exercise.limits[name], number = pick.changes[name];
      if (!limit || number < limit[0] || number > limit[1]) refused.push(name);
      else if (name === "repetitions" && dose.most) dose.most = number;
      else dose[name] = [number, number];
      if (name === "times_a_day" && refused.indexOf(name) < 0) delete dose.every;
    });
    /* A rest between sets goes with them; it never turns into a rest between repeats. */
    if (exercise.dose.sets && exercise.dose.sets[1] > 1 && dose.sets[1] === 1) delete dose.rest;
    return { dose: dose, refused: refused };
  };

  L.sidesOf = function (pick, exercise) {
    return exercise.sides === "one" && pick.side === "turn" ? "each" : exercise.sides;
  };

  function often(dose) {
    if (dose.times_a_day) return dose.times_a_day;
    if (!dose.every || !dose.every[0]) return ONE;
    var awake = data.waking_hours;
    return [Math.max(1, Math.floor((awake[0] * 3600) / dose.every[1])), Math.max(1, Math.floor((awake[1] * 3600) / dose.every[0]))];
  }

  function countOf(dose) { return dose.most ? [1, dose.most] : dose.repetitions || null; }

  function once(dose) {
    var parts = [dose.hold || NONE];
    if (dose.tempo) parts.push(dose.tempo[0], dose.tempo[1] || NONE, dose.tempo[2]);
    else parts.push([data.move_seconds, data.move_seconds]);
    return parts.reduce(plus);
  }

  /* Count the rests in one go on one side: between sets, or between the repeats of a single set. */
  function rests(dose) {
    var sets = dose.sets || ONE, between = sets[1] > 1 ? sets : countOf(dose) || ONE;
    return [between[0] - 1, between[1] - 1];
  }
  L.hasRest = function (dose) { return !!(dose.rest && dose.rest[1] && rests(dose)[1]); };

  L.totals = function (dose, sides) {
    var turns = sides === "each" ? [2, 2] : ONE, sets = dose.sets || ONE, count = countOf(dose), rest = dose.rest || NONE;
    var work = count ? times(once(dose), count) : dose.duration || NONE;
    var side = plus(times(work, sets), times(rest, rests(dose)));
    var session = times(side, turns), day = times(session, often(dose)), go = count && times(sets, count);
    return {
      repetitions_a_go: go && times(go, turns),
      repetitions_a_day: go && times(times(go, turns), often(dose)),
      repetitions_a_side: go && times(go, often(dose)),
      session: session,
      times_a_day: often(dose),
      day: day,
      week: times(day, dose.days_a_week),
    };
  };

  /* --- words --- */

  function number(count) {
    if (count[0] === count[1]) return String(count[0]);
    return say(count[1] - count[0] === 1 ? "dose.either" : "dose.range", { low: count[0], high: count[1] });
  }
  /* A dash between numbers runs backwards in right-to-left text, so a range is in words there. */
  function figures(count) {
    return count[0] === count[1] || data.direction === "rtl" ? number(count) : count[0] + "–" + count[1];
  }
  function inUnit(time) {
    var units = [["hours", 3600], ["minutes", 60]];
    for (var i = 0; i < 2; i++) {
      var s = +units[i][1];
      if (time[0] && time[0] % s === 0 && time[1] % s === 0) return [[time[0] / s, time[1] / s], units[i][0]];
    }
    return [time, "seconds"];
  }
  function time(value) {
    var found = inUnit(value);
    return say("dose." + found[1], { n: pluralOf(found[0]), number: number(found[0]) });
  }
  /* A range never takes the singular or the dual. */
  function pluralOf(count) { return count[0] === count[1] ? count[1] : Math.max(count[1], 3); }
  L.number = number;
  L.figures = figures;
  L.time = time;

  function halfUp(seconds, unit) { return Math.floor((2 * seconds + unit) / (2 * unit)); }

  L.about = function (value) {
    var high = halfUp(value[1], 60), unit = "minutes";
    if (high < 1) return say("dose.under_a_minute");
    var count = [Math.max(halfUp(value[0], 60), 1), high];
    if (inUnit(value)[1] === "hours" || count[0] >= data.long_minutes) {
      count = [halfUp(value[0], 3600), halfUp(value[1], 3600)];
      unit = "hours";
    }
    var range = count[0] === count[1] ? String(count[0]) : say("dose.range", { low: count[0], high: count[1] });
    return say("dose.about", { time: say("dose." + unit, { n: pluralOf(count), number: range }) });
  };

  function what(dose) {
    var sets = dose.sets || ONE, several = sets[1] > 1, values = { n: pluralOf(sets), number: number(sets) };
    if (dose.duration) {
      values.time = time(dose.duration);
      return say(several ? "dose.timed_sets" : "dose.timed", values);
    }
    if (dose.most) {
      values.most = dose.most;
      return say(several ? "dose.as_many_sets" : "dose.as_many", values);
    }
    var count = dose.repetitions || ONE;
    if (!several) return say("dose.repeats", { n: pluralOf(count), number: number(count) });
    values.repeats = number(count);
    return say("dose.sets", values);
  }

  function howOften(dose) {
    if (!dose.times_a_day) {
      var every = dose.every || [3600, 3600];
      return same(every, [3600, 3600]) ? say("dose.every_hour") : say("dose.every", { time: time(every) });
    }
    if (same(dose.times_a_day, [2, 2])) return say("dose.twice_a_day");
    return say("dose.times_a_day", { n: pluralOf(dose.times_a_day), number: number(dose.times_a_day) });
  }

  function days(dose) {
    var on = dose.days_a_week;
    return on[0] === 7 ? say("dose.every_day") : say("dose.days_a_week", { n: pluralOf(on), number: number(on) });
  }

  /* Give the words of every blank that the dose has a number for. */
  L.blanks = function (dose) {
    var found = { times_a_day: howOften(dose), days_a_week: days(dose) }, tempo = dose.tempo || [];
    if (dose.sets) {
      found.sets = say("dose.blanks.sets", { n: pluralOf(dose.sets), number: number(dose.sets) });
      found.sets_count = number(dose.sets);
    }
    if (dose.most) {
      found.repetitions = say("dose.blanks.most", { n: dose.most, number: dose.most });
      found.repetitions_count = String(dose.most);
    } else if (dose.repetitions) {
      found.repetitions = say("dose.blanks.repetitions", { n: pluralOf(dose.repetitions), number: number(dose.repetitions) });
      found.repetitions_count = number(dose.repetitions);
    }
    if (dose.duration) found.duration = time(dose.duration);
    if (dose.rest) found.rest = time(dose.rest);
    [["hold", dose.hold], ["out", tempo[0]], ["pause", tempo[1]], ["back", tempo[2]]].forEach(function (one) {
      if (!one[1] || !one[1][1]) return;
      found[one[0]] = time(one[1]);
      found[one[0] + "_count"] = number(one[1]);
    });
    return found;
  };

  /* Begin a sentence with a word. */
  L.capital = function (words) { return words.charAt(0).toLocaleUpperCase() + words.slice(1); };

  /* Put a dose's numbers into a text of an exercise: runs, a list of texts, or all the texts of a side. */
  L.filled = function (text, words) {
    if (typeof text === "string") return text;
    if (Array.isArray(text)) return text.map(function (one) { return L.filled(one, words); });
    if ("blank" in text) return text.begins ? L.capital(words[text.blank] || "") : words[text.blank] || "";
    return Object.keys(text).reduce(function (all, name) { all[name] = L.filled(text[name], words); return all; }, {});
  };

  L.spoken = function (dose, sides) {
    var sentences = [what(dose)], several = (dose.sets || ONE)[1] > 1, count = countOf(dose);
    if (dose.hold && dose.hold[1]) {
      var single = !count || (count[1] === 1 && !several);
      sentences.push(say(single ? "dose.hold_once" : "dose.hold", { time: time(dose.hold) }));
    }
    if (dose.tempo) {
      var pause = dose.tempo[1] && dose.tempo[1][1] ? number(dose.tempo[1]) : "";
      sentences.push(say(pause ? "dose.tempo_pause" : "dose.tempo", { out: number(dose.tempo[0]), pause: pause, back: number(dose.tempo[2]) }));
    }
    if (L.hasRest(dose)) sentences.push(say(several && !dose.duration ? "dose.rest" : "dose.rest_between", { time: time(dose.rest) }));
    if (sides === "each") sentences.push(say(!several ? "dose.each" : dose.duration ? "dose.each_timed" : "dose.each_sets"));
    sentences.push(say("dose.often", { times: howOften(dose), days: days(dose) }));
    return sentences.join(" ");
  };

  L.totalLine = function (dose, sides) {
    var total = L.totals(dose, sides), single = same(total.times_a_day, ONE);
    var takes = say(single ? "dose.takes" : "dose.takes_each_time", { time: L.about(total.session) });
    var side = total.repetitions_a_side;
    if (!side) {
      if (single && same(dose.days_a_week, ONE)) return takes;
      return say("dose.total_time", { day: L.about(total.day), week: L.about(total.week) });
    }
    var key = (dose.most ? "dose.total_most" : "dose.total") + (sides === "each" ? "_each" : "");
    return say(key, { n: pluralOf(side), number: dose.most ? String(side[1]) : number(side) }) + " " + takes;
  };

  L.timeNeeded = function (dose, sides) {
    var words = L.about(L.totals(dose, sides).session);
    if (!dose.times_a_day || !same(dose.times_a_day, ONE)) words = say("dose.time_and_often", { time: words, times: howOften(dose) });
    return words.charAt(0).toUpperCase() + words.slice(1);
  };

  /* Give the strip of numbers as [number, label] pairs. */
  L.cells = function (dose, sides) {
    var cells = [], each = sides === "each", several = (dose.sets || ONE)[1] > 1;
    function add(count, label) { cells.push([figures(count), say("dose.cells." + label, { n: pluralOf(count) })]); }
    function addTime(value, label) { var found = inUnit(value); add(found[0], label + "_" + found[1]); }
    if (dose.sets && several) add(dose.sets, "sets");
    if (dose.most) add([dose.most, dose.most], each ? "most_each" : "most");
    else if (dose.repetitions) add(dose.repetitions, each ? "repeats_each" : "repeats");
    if (dose.duration) addTime(dose.duration, each ? "timed_each" : "timed");
    if (dose.hold && dose.hold[1]) addTime(dose.hold, "hold");
    if (dose.tempo) {
      var pause = dose.tempo[1] && dose.tempo[1][1] ? figures(dose.tempo[1]) : "", label = pause ? "dose.cells.tempo_pause" : "dose.cells.tempo";
      cells.push([say(label + "_numbers", { out: figures(dose.tempo[0]), pause: pause, back: figures(dose.tempo[2]) }), say(label)]);
    }
    if (L.hasRest(dose)) addTime(dose.rest, "rest");
    if (dose.times_a_day) {
      var n = pluralOf(dose.times_a_day);
      cells.push([say("dose.cells.times_a_day_number", { n: n, number: figures(dose.times_a_day) }), say("dose.cells.times_a_day", { n: n })]);
    } else if (dose.every) addTime(dose.every, "every");
    add(dose.days_a_week, "days_a_week");
    return cells;
  };
})();
