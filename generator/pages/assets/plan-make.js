/* Making a plan: the page, and adding to it by code, by words, by a ready set. plan-list.js draws what is in it, plan-give.js
   what is handed over. The draft lives in this tab only (sessionStorage). */
(function () {
  "use strict";
  /** @type {Limberleaf} */
  var L = window.limberleaf, el = L.el, say = L.say, MOST_STEPS = 20, body, finder;
  var steps = [], latest; // the plan as it was before each of the last changes, and as it was last looked up

  /* What the three scripts share: the plan, as it was looked up, what was opened, where to say things. */
  /** @type {PlanMaker} */
  var M = (L.maker = { plan: null, found: null, said: null, opened: {} });

  L.make = function (into) {
    var before = L.before && L.before.picks.length && L.write(L.before) !== L.write(L.draft.get()) ? L.before : null;
    body = into;
    M.plan = L.draft.get();
    if (before) latest = stateOf(before);
    if (L.incoming) takeIn(L.incoming);
    else M.refresh(null, before && say("plan.make.loaded")).then(toTheBox);
    L.incoming = L.before = null;
  };

  /* Where there is a keyboard the plan is begun in the box; on a telephone the keys would hide the page. */
  function toTheBox() {
    if (document.activeElement === document.body && window.matchMedia("(hover: hover)").matches) {
      document.getElementById("make-code").focus({ preventScroll: true });
    }
  }

  /* Look the plan up again and draw the page again; keep the focus where it was, or put it on `focus`. What is to be said
     then, `words`, may be a function of the plan as it is. */
  M.refresh = function (focus, words) {
    var at = focus || (document.activeElement && body.contains(document.activeElement) && document.activeElement.id);
    M.plan.stop = M.plan.stop.filter(function (code) { return !M.taken(code); });
    return L.resolve(M.plan).then(function (now) {
      M.found = now;
      now.remarks = renewed(now.remarks);
      now.chosen.forEach(function (one) { one.pick.version = one.exercise.version; });
      L.draft.set(M.plan);
      M.remember();
      var top = !focus && at && topOf(at);
      draw();
      var place = at && document.getElementById(at);
      if (place) place.focus({ preventScroll: !focus });
      if (top && place) window.scrollBy(0, topOf(at) - top); // what is under the pointer stays there
      if (words) M.said.textContent = typeof words === "function" ? words() : words;
    });
  };

  function topOf(id) {
    var place = document.getElementById(id);
    return place ? place.getBoundingClientRect().top : 0;
  }

  /* --- steps back --- */

  function stateOf(plan) { return { link: L.write(plan), plan: JSON.stringify(plan) }; }

  /* Keep the plan as a step to go back to; `same` while the step before goes on (a date that is being typed). */
  M.remember = function (same) {
    var now = stateOf(M.plan), button = document.getElementById("make-undo");
    if (latest && latest.link !== now.link && !same) steps.push(latest);
    steps = steps.slice(-MOST_STEPS);
    latest = now;
    if (button) button.hidden = !steps.length;
  };

  function undo() {
    var was = L.notes(M.found, "");
    M.plan = JSON.parse(steps.pop().plan);
    latest = null;
    M.refresh(steps.length ? "make-undo" : "make-code", function () { return L.changes(was, L.notes(M.found, "")); });
  }

  /* A plan being made has the words of today. One that was opened from a link says what is new since it was made. */
  function renewed(remarks) {
    var list = remarks.filter(function (one) { return one.code !== "changed" && one.code !== "newer"; });
    M.found.chosen.forEach(function (one) {
      var old = L.opened && L.opened.picks.filter(function (pick) { return pick.code === one.pick.code; })[0];
      if (!old) return;
      if (old.made === undefined) old.made = old.version;
      if (old.made < one.exercise.version) list.push({ code: "renewed", values: { code: L.code(one.pick.code), day: one.exercise.reviewed } });
    });
    return list;
  }

  function draw() {
    var any = M.plan.picks.length > 0;
    M.said = el("span", { class: "said", role: "status" });
    body.textContent = "";
    L.put(body,
      any ? null : el("p", { class: "aim", text: say("plan.make.empty") }),
      any ? null : el("p", { text: say("plan.make.patient") }),
      codeForm(any),
      el("p", { class: "make-said" }, M.said,
        el("button", { type: "button", id: "make-undo", hidden: !steps.length, text: say("plan.make.undo"), onclick: undo }),
        any ? el("button", { type: "button", id: "make-onward", text: say("plan.make.onward"), onclick: function () {
          document.getElementById("make-weeks").focus();
        } }) : null),
      el("ul", { id: "make-matches", class: "make-matches", hidden: true }),
      setsPart());
    if (!any) { L.foot(""); return; }
    body.appendChild(el("div", { class: "make-grid" },
      el("div", {},
        el("h2", { text: say("plan.make.list") }),
        M.sidesPart(),
        el("ol", { class: "make-list" }, M.plan.picks.map(M.card)),
        M.stopPart()),
      M.givePart()));
  }

  M.chosenOf = function (pick) { return M.found.chosen.filter(function (one) { return one.pick === pick; })[0]; };
  M.titleOf = function (pick) { var one = M.chosenOf(pick); return one ? one.exercise.texts.none.title : L.code(pick.code); };

  /* Tell whether the plan has the exercise, for a side or for any. */
  M.taken = function (code, side) {
    return M.plan.picks.some(function (one) { return one.code === code && (!side || one.side === side); });
  };

  /* --- adding --- */

  function codeForm(any) {
    var input = el("input", {
      id: "make-code", type: "text", autocomplete: "off", autocapitalize: "none", spellcheck: "false",
      placeholder: say("plan.make.code_hint"), "aria-describedby": "make-code-words",
    });
    return el("form", { class: "make-add", onsubmit: function (event) {
      event.preventDefault();
      enter(input.value.trim());
    } },
      el("label", { for: "make-code", text: say("plan.make.code") }), input,
      el("button", { type: "submit", text: say("plan.make.add") }),
      el("p", { id: "make-code-words", class: "hint", text: say("plan.make.code_words") + (any ? " " + say("plan.make.enter_copies") : "") }));
  }

  /* Take what was typed: a link, the name of a set, codes with sides and doses, or words to look for. */
  function enter(text) {
    if (!text && M.plan.picks.length) { M.copyLink(); return; }
    var whole = L.read(text.replace(/^[^#]*#/, "")), typed = L.typed(text), set = L.data.sets.filter(function (one) { return one[0] === text.toLowerCase(); })[0];
    var last = M.plan.picks[M.plan.picks.length - 1], misplaced = typed.picks.length || !last ? typed.last.typed : "";
    if (whole.plan) L.change(whole.plan);
    else if (set) takeIn(L.read(set[3]).plan);
    else if (text.length > L.mostTyped) M.said.textContent = say("plan.make.too_long", { number: L.mostTyped });
    else if (text && !typed.picks.length && looksLikeWords(text, typed)) search(text);
    else if (typed.rest.length) M.said.textContent = say("plan.make.not_read", { typed: typed.rest[0].slice(0, 20) });
    else if (misplaced) M.said.textContent = say("plan.make.code_first", { typed: misplaced });
    else if (!typed.any) unknown(text);
    else addTyped(typed.picks, typed);
  }

  /* Words to look for hold no number of the grammar, and are not a number or a date written in another way ("10 reps"). */
  function looksLikeWords(text, typed) {
    return !typed.any ? !/^[0-9]/.test(text) : typed.rest.length > 0 && !/[0-9]/.test(text);
  }

  function unknown(text) { M.said.textContent = say("plan.make.unknown", { code: text.slice(0, 12) }); }

  /* Add what was typed: exercises, numbers for the one before, what is for the whole plan. All of it, or nothing. */
  function addTyped(asked, typed) {
    Promise.all(asked.map(function (one) { return L.load(one.code); })).then(function (exercises) {
      var at = exercises.findIndex(function (one) { return !one || !one.texts; });
      if (at >= 0) { unknown(asked[at].typed); return; }
      var picks = [], words = typed && typed.last.typed ? [changeLast(typed.last, picks)] : [];
      asked.forEach(function (one, i) { words.push(addPick(one, exercises[i], picks)); });
      words = words.concat(typed ? forAll(typed) : []);
      M.refresh("make-code", function () { return (picks.length ? inPlan(picks) + " " : "") + words.join(" "); });
    });
  }

  /* Say what is in the plan now, with side and dose. */
  function inPlan(picks) {
    return say("plan.add.added") + ": " + picks.map(function (pick) { return L.lineOf(M.chosenOf(pick), M.plan); }).join("; ") + ".";
  }

  /* Add one that was typed, or change the one that is there, and say what did not fit. Without a side a new one takes that
     of the one before. */
  function addPick(typed, exercise, picks) {
    var code = typed.code, plan = M.plan.picks, side = exercise.sides === "one" ? typed.side : "none", named = { code: L.code(code) };
    var there = L.same(plan, code, side), known = there[0];
    if (known) {
      if (side !== "none" && !there[1]) known.side = side;
    } else {
      if (plan.length >= L.most) return say("plan.make.full", { number: L.most });
      if (exercise.sides === "one" && side === "none" && plan[0]) side = plan[plan.length - 1].side;
      there = [{ code: code, side: side, version: exercise.version, changes: {}, star: false }];
      plan.push(there[0]);
    }
    return (exercise.sides !== "one" && typed.side !== "none" ? say("plan.remarks.wrong_side", named) + " " : "") + there.map(function (pick) {
      if (picks.indexOf(pick) < 0) picks.push(pick);
      return setNumbers(pick, exercise, typed);
    })[0] + (known ? say("plan.make.there", named) : "");
  }

  /* Side and numbers without a code belong to the last exercise in the list. */
  function changeLast(typed, picks) {
    var pick = M.plan.picks[M.plan.picks.length - 1], one = M.chosenOf(pick), code = L.code(pick.code);
    if (!one) return say("plan.make.unknown", { code: code });
    if (typed.side !== "none" && pick.side !== typed.side && (one.exercise.sides !== "one" || M.taken(pick.code, typed.side))) {
      return say(one.exercise.sides !== "one" ? "plan.remarks.wrong_side" : "plan.make.twice", { code: code });
    }
    if (typed.side !== "none") pick.side = typed.side;
    picks.push(pick);
    return setNumbers(pick, one.exercise, typed);
  }

  /* Give a pick the numbers that were typed. What the exercise does not allow stays as it was, and is said. */
  function setNumbers(pick, exercise, typed) {
    var own = L.numbersOf(typed, exercise), refused = [];
    if (typed.range && !own.repetitions) delete pick.changes.repetitions;
    Object.keys(own).forEach(function (name) {
      var limit = exercise.limits[name], number = own[name];
      if (limit && number >= limit[0] && number <= limit[1]) { pick.changes[name] = number; return; }
      refused.push(say("plan.make.fields." + name) + " " + number + " (" + (limit ? say("plan.make.allowed", { number: L.number(limit) }) : say("plan.make.has_none")) + ")");
    });
    return refused.length ? say("plan.make.refused", { code: L.code(pick.code), typed: refused.join(", ") }) + " " : "";
  }

  /* Take weeks, days, the day of the review and notes that were typed, and say them. */
  function forAll(typed) {
    var plan = M.plan, words = [];
    if (typed.weeks) {
      if (typed.weeks > L.data.weeks.most) words.push(say("plan.make.most_weeks", { number: L.data.weeks.most }));
      else { plan.weeks = typed.weeks; words.push(L.capital(say("plan.weeks", { n: typed.weeks, number: typed.weeks })) + "."); }
    }
    if (typed.days.length) { plan.days = typed.days; words.push(L.dayNames(typed.days) + "."); }
    if (typed.review) { plan.review = typed.review; words.push(say("plan.review", { day: L.dayWords(typed.review) })); }
    typed.notes.forEach(function (name) {
      if (!L.data.notes[name]) words.push(say("plan.make.no_note", { name: name }));
      else if (plan.notes.indexOf(name) < 0 && plan.notes.length >= L.mostNotes) words.push(say("plan.make.full_notes", { number: L.mostNotes }));
      else {
        if (plan.notes.indexOf(name) < 0) plan.notes.push(name);
        words.push(L.data.notes[name]);
      }
    });
    return words;
  }

  /* Words are looked up as in the finder; what fits stands below the box, the best first. */
  function search(text) {
    index().then(function (came) {
      if (!came) { unknown(text); return; }
      var result = L.search(finder.vocabulary, text), best = result.scores ? L.bestOf(result.scores).slice(0, 6) : [];
      if (!best.length || result.unknown.length > result.known) { unknown(text); return; }
      var list = document.getElementById("make-matches");
      list.textContent = "";
      list.hidden = false;
      best.forEach(function (at) {
        var code = finder.codes[at];
        list.appendChild(el("li", {}, el("button", {
          type: "button", text: L.code(code) + " " + finder.titles[code],
          onclick: function () { addTyped([{ code: code, side: "none", changes: {}, typed: code }]); },
        })));
      });
      M.said.textContent = say("plan.make.matches", { n: best.length, number: best.length });
      list.querySelector("button").focus();
    });
  }

  /* Load what the finder searches in, once, when it is first asked for. */
  function index() {
    if (finder) return Promise.resolve(true);
    window.limberleafTitles = function (titles) { finder = { titles: titles }; };
    window.limberleafFinder = function (rows) {
      finder.codes = rows.rows.map(function (row) { return row[0]; });
      finder.vocabulary = L.vocabulary(rows, finder.codes.map(function (code) { return finder.titles[code]; }));
    };
    return L.data.find.reduce(function (before, address) {
      return before.then(function (came) { return came && L.script(address); });
    }, Promise.resolve(true)).then(function (came) { return came && !!finder.vocabulary; });
  }

  /** They lie over the cards: Escape or a press puts them away. @param {any} event */
  document.onclick = document.onkeydown = function (event) {
    var every = Array.from(document.querySelectorAll("#make-matches button"));
    var at = every.indexOf(document.activeElement), step = { ArrowDown: 1, ArrowUp: -1, Escape: -99 }[event.key];
    if (every[0] && (!event.key || step < -1)) every[0].closest("ul").hidden = true;
    if (at < 0 || !step) return;
    event.preventDefault();
    (every[at + step] || document.getElementById("make-code")).focus();
  };

  /* --- ready sets --- */

  function setsPart() {
    if (!L.data.sets.length) return null;
    var part = el("details", { id: "make-sets", open: !!M.opened.sets }, el("summary", { text: say("plan.make.sets") }),
      el("ul", { class: "make-matches" }, L.data.sets.map(function (set) {
        return el("li", {}, el("button", { type: "button", id: "set-" + set[0], text: set[1], onclick: function () { takeIn(L.read(set[3]).plan); } }),
          " ", el("span", { class: "hint", text: set[2] }));
      })));
    part.addEventListener("toggle", function () { M.opened.sets = part.open; });
    return part;
  }

  /* Put a set, or a step of a ladder, into the plan; one that was handed over is left as it is and a new one begun. */
  function takeIn(other) {
    var fresh = M.plan.picks.length > 0 && L.draft.handed();
    if (fresh) beginAnew();
    var came = L.merge(M.plan, other);
    L.draft.handOver(false);
    M.opened.sets = false;
    M.refresh("make-code", function () {
      return (fresh ? say("plan.make.began") + " " : "") + (came.length ? inPlan(came) : say("plan.make.nothing_new"));
    });
  }

  /* Begin with an empty plan. A step back never leads into the plan of somebody to whom it was handed over. */
  function beginAnew() {
    if (L.draft.handed()) {
      steps = [];
      latest = null;
    }
    M.plan = L.newPlan({ weeks: L.data.weeks.usual });
  }

  /* Begin again with an empty plan. */
  M.clear = function () {
    beginAnew();
    L.draft.handOver(false);
    M.refresh("make-code", say("plan.make.cleared"));
  };
})();
