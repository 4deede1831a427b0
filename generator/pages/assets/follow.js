/* Following along: one exercise a screen. The page counts sets, repeats, holds and rests; everything is loaded before
   the first one begins. Nothing is kept unless the reader ticks the box. */
(function () {
  "use strict";
  /** @type {Limberleaf} */
  var L = window.limberleaf, el = L.el, say = L.say;
  var host = document.getElementById("follow"), body = document.getElementById("follow-body");
  var heading = document.getElementById("follow-title");
  var KEY = "limberleaf.days", READY = 5, RING = [660, 440];
  var done = {}, skipped = {};
  var every = false, found, day, fragment, begun, at, phases, now, timer, sound = false, counting = true, audio, lock, parts;

  /* --- what happens in one exercise: twin of the arithmetic in plan-dose.js, phase by phase --- */

  /* Give the phases of an exercise. A phase has a name, [lowest, highest] seconds (none: until the reader goes on),
     and its place: turn, set, repeat (from 1), and the panel of the figure to show. */
  L.phases = function (one, counted) {
    var dose = one.dose, sets = dose.sets || [1, 1], count = dose.most ? [1, dose.most] : dose.repetitions;
    var turns = one.sides === "each" ? 2 : 1, half = L.data.move_seconds / 2, list = [];
    for (var turn = 1; turn <= turns; turn++) {
      list.push({ name: turn > 1 ? "change" : "ready", seconds: turn > 1 ? null : [READY, READY], turn: turn, panel: 0, lead: true });
      for (var set = 1; set <= sets[1]; set++) {
        var whole = { turn: turn, set: set, sets: sets, count: count };
        if (!count) list.push(phase("keep_going", dose.duration || [0, 0], whole, 1));
        else if (!counted) list.push(phase("self", null, whole, 1));
        else {
          for (var i = 1; i <= count[1]; i++) {
            var place = { turn: turn, set: set, sets: sets, repeat: i, count: count };
            list.push(phase("out", dose.tempo ? dose.tempo[0] : [half, half], place, 1));
            if (dose.tempo && dose.tempo[1] && dose.tempo[1][1]) list.push(phase("pause", dose.tempo[1], place, 1));
            if (dose.hold && dose.hold[1]) list.push(phase("hold", dose.hold, place, 1));
            list.push(phase("back", dose.tempo ? dose.tempo[2] : [half, half], place, 0));
            if (sets[1] === 1 && i < count[1] && L.hasRest(dose)) list.push(phase("rest", dose.rest, place, 0));
          }
        }
        if (set < sets[1] && L.hasRest(dose)) list.push(phase("rest", dose.rest, whole, 0));
      }
    }
    return list;
  };
  function phase(name, seconds, place, panel) {
    return { name: name, seconds: seconds, turn: place.turn, set: place.set, sets: place.sets, repeat: place.repeat, count: place.count, panel: panel };
  }

  /* --- start --- */

  function show() {
    if (L.jumped(fragment) && begun) return;
    begun = true;
    fragment = location.hash.slice(1);
    stopTimer();
    host.classList.remove("going");
    body.textContent = "";
    var reading = L.read(location.hash);
    if (reading.trouble) {
      L.heading(say("follow.title"));
      if (reading.trouble === "empty") body.appendChild(el("p", { class: "aim", text: say("follow.none") }));
      else body.appendChild(L.trouble(reading.trouble));
      return;
    }
    fragment = L.write(reading.plan);
    L.keepPlan(fragment);
    done = {};
    skipped = {};
    L.resolve(reading.plan).then(function (result) {
      found = result;
      found.later = every ? [] : found.chosen.filter(function (one) { return !L.isToday(one, found.plan); });
      found.chosen = found.chosen.filter(function (one) { return found.later.indexOf(one) < 0; });
      day = L.today();
      at = 0;
      now = null;
      begin(at);
    });
  }
  function begin(index) {
    body.textContent = "";
    if (found.chosen.length) { frame(); exercise(index); return; }
    L.heading(say("follow.title"));
    notes();
  }

  /* Go on with what is not for today behind the rest; what was done stays done. */
  function asWell() {
    every = true;
    found.chosen = found.chosen.concat(found.later);
    found.later = [];
    begin(at);
    heading.focus();
  }
  L.heading = function (words) { heading.textContent = words; };

  function notes() {
    if (L.over(found.plan)) body.appendChild(el("p", { class: "plan-note", text: L.over(found.plan) }));
    if (found.later.length) body.appendChild(el("p", { class: "plan-note" },
      found.chosen.length ? null : say("plan.today_none") + " ", L.daysIn("not", found.later, found.plan), " ",
      el("button", { type: "button", id: "follow-every", text: say("follow.as_well"), onclick: asWell })));
    found.remarks.forEach(function (one) {
      if (!one.clinic) body.appendChild(el("p", { class: "plan-note", text: say("plan.remarks." + one.code, one.values) }));
    });
  }

  /* Build the screen once, with every picture of every exercise in it, so that nothing is fetched later. */
  function frame() {
    notes();
    var loaded = 0, all = 0;
    parts = {
      of: el("p", { class: "follow-of" }),
      pictures: found.chosen.map(function (one) {
        return el("div", { class: "figure", hidden: true }, el("div", { class: "panels" }, one.text.panels.map(function (panel, i) {
          all++;
          return el("figure", {},
            el("img", Object.assign({ src: L.root + panel[0], alt: panel[1], onload: came, onerror: came }, L.foreign(one))),
            el("figcaption", {}, one.text.panels.length > 1 ? [el("span", { class: "number", text: String(i + 1) }), " "] : null, el("span", L.foreign(one), L.rich(panel[2])), " ", L.signs(panel[3], one.dose)));
        })));
      }),
      word: el("p", { class: "follow-word" }),
      number: el("p", { class: "follow-number", "aria-hidden": "true" }),
      count: el("p", { class: "follow-count" }),
      live: el("p", { class: "skip-only", role: "status" }),
      bar: el("div", { class: "follow-bar", "aria-hidden": "true" }, el("i", {})),
      main: el("button", { type: "button", class: "main", id: "follow-main", onclick: press }),
      skip: el("button", { type: "button", id: "follow-skip", onclick: skip }),
      back: el("button", { type: "button", id: "follow-back", text: say("follow.back"), onclick: function () { exercise(at - 1); } }),
      next: el("button", { type: "button", id: "follow-next", onclick: next }),
      how: el("div", { class: "follow-how" }),
      offline: el("p", { class: "said", id: "follow-offline" }),
    };
    function came() { if (++loaded === all) parts.offline.textContent = say("follow.offline"); }
    L.fill(body, parts.of, parts.pictures, el("div", { class: "follow-now" }, parts.word, parts.number, parts.count, parts.bar), parts.live,
      el("div", { class: "follow-keys" }, parts.main, parts.skip, parts.back, parts.next),
      settings(), parts.how, parts.offline);
  }
  L.fill = function (parent) {
    for (var i = 1; i < arguments.length; i++) [].concat(arguments[i]).forEach(function (one) { if (one) parent.appendChild(one); });
  };

  function settings() {
    return el("div", { class: "follow-set" },
      toggle("follow-count-for-me", say("follow.count"), counting, function (on) { counting = on; exercise(at); }),
      toggle("follow-sound", say("follow.sound"), sound, function (on) { sound = on; if (on) ring(0); }));
  }
  function toggle(id, words, on, act) {
    var box = el("input", { type: "checkbox", id: id, checked: on, onchange: function () { act(box.checked); } });
    return el("label", { class: "tick-field" }, box, el("span", { text: words }));
  }

  /* --- one exercise --- */

  function exercise(index) {
    stopTimer();
    at = Math.max(0, index);
    var one = found.chosen[at], own = L.foreign(one), side = one.exercise.sides === "one" && one.side !== "none" ? say("plan.sides." + one.side) : "";
    phases = L.phases(one, counting);
    now = { phase: -1, passed: 0, since: 0, going: false };
    L.heading("");
    L.fill(heading, el("span", Object.assign({ text: one.text.title }, own)));
    if (side) L.fill(heading, document.createTextNode(" "), el("span", { class: "side", text: side }));
    parts.of.textContent = found.chosen.length > 1 ? say("follow.of", { number: at + 1, count: found.chosen.length }) : "";
    host.classList.remove("going");
    parts.pictures.forEach(function (picture, i) { picture.hidden = i !== at; });
    panel(null);
    parts.word.textContent = L.spoken(one.dose, one.sides);
    parts.number.textContent = "";
    parts.count.textContent = "";
    parts.main.textContent = say("follow.begin");
    parts.back.hidden = at === 0;
    parts.next.textContent = say(at + 1 < found.chosen.length ? "follow.done_one" : "follow.finish");
    parts.skip.hidden = true;
    parts.how.textContent = "";
    L.fill(parts.how, one.main ? el("p", { class: "plan-note", text: say("plan.foreign", { language: one.main.name }) }) : null,
      el("h2", { text: say("follow.steps") }), L.list("ol", one.text.setup.concat(one.text.steps), "steps", own),
      el("h2", { class: "stop-if" }, L.icon("stop"), say("follow.stop_if")), L.list("ul", one.text.stop, "", own),
      el("h2", { text: say("plan.help_title") }), L.boxes([one]));
    bar(0);
  }

  /* Show one panel alone, or all of them. */
  function panel(number) {
    var figures = parts.pictures[at].querySelectorAll("figure");
    var only = number === null ? -1 : Math.min(number, figures.length - 1);
    figures.forEach(function (figure, i) { figure.hidden = only >= 0 && i !== only; });
  }

  function press() {
    if (now.phase < 0) { awake(); go(0); return; }
    var current = phases[now.phase];
    if (!current.seconds) { go(now.phase + 1); return; }
    if (now.going) halt();
    else { awake(); resume(); }
  }

  function halt() {
    if (!now.going) return;
    now.passed += Date.now() - now.since;
    now.going = false;
    stopTimer();
    parts.main.textContent = say("follow.go_on");
    tell(say("follow.paused"));
  }

  function resume() {
    now.since = Date.now();
    now.going = true;
    parts.main.textContent = say("follow.pause");
    stopTimer();
    timer = setInterval(tick, 200);
  }

  function stopTimer() { clearInterval(timer); }

  function go(index) {
    if (index >= phases.length) { over(); return; }
    var current = phases[index];
    now = { phase: index, passed: 0, since: Date.now(), going: !!current.seconds };
    host.classList.add("going");
    panel(current.panel);
    parts.word.textContent = say(current.name === "change" ? "follow.change" : "follow.phases." + current.name);
    parts.count.textContent = where(current);
    parts.skip.hidden = !!current.lead;
    parts.main.textContent = say(current.seconds ? "follow.pause" : current.name === "self" ? "follow.tap" : "follow.go_on");
    ring(current.name === "rest" || current.name === "back" ? 1 : 0);
    tell(parts.word.textContent + (current.name === "out" && current.repeat ? " " + current.repeat : ""));
    stopTimer();
    if (current.seconds) timer = setInterval(tick, 200);
    paint(0);
    bar(index / phases.length);
  }

  function where(current) {
    var words = [];
    if (current.sets && current.sets[1] > 1) words.push(say("follow.set", { number: current.set, count: L.number(current.sets) }));
    if (current.repeat) words.push(say("follow.repeat", { number: current.repeat, count: L.number(current.count) }));
    else if (current.name === "self") words.push(L.number(current.count));
    if (found.chosen[at].sides === "each") words.push(say("follow.first_side." + (current.turn > 1 ? "other" : "one")));
    return words.join(" · ");
  }

  function tick() {
    if (!now.going) return;
    var passed = (now.passed + Date.now() - now.since) / 1000, current = phases[now.phase];
    if (passed >= current.seconds[1]) go(now.phase + 1);
    else paint(passed);
  }

  /* The big number: a hold counts up as the steps say; a rest or a timed one counts down; else the repeat. */
  function paint(passed) {
    var current = phases[now.phase], left = current.seconds ? Math.ceil(current.seconds[1] - passed) : 0, number;
    if (!current.seconds) number = current.count ? L.figures(current.count) : "";
    else if (current.name === "hold") number = Math.min(Math.floor(passed) + 1, current.seconds[1]);
    else if (current.repeat && current.name !== "rest") number = current.repeat;
    else number = left >= 60 ? Math.floor(left / 60) + ":" + ("0" + (left % 60)).slice(-2) : left;
    var text = String(number);
    if (parts.number.textContent !== text) parts.number.textContent = text;
    var enough = enoughNow(current, passed);
    var words = say(enough ? "follow.enough" : "follow.skip");
    if (parts.skip.textContent !== words) parts.skip.textContent = words;
  }

  function enoughNow(current, passed) {
    if (current.name === "rest") return false;
    if (current.repeat) return current.repeat > current.count[0] || (current.set > current.sets[0]);
    return !!current.seconds && passed >= current.seconds[0];
  }

  /* Leave the set (or the rest) for what comes after it. */
  function skip() {
    var current = phases[now.phase], index = now.phase + 1;
    if (current.name !== "rest" && parts.skip.textContent !== say("follow.enough")) skipped[at] = true;
    while (index < phases.length && current.name !== "rest" && phases[index].set === current.set && phases[index].turn === current.turn && phases[index].name !== "rest") index++;
    go(index);
  }

  function bar(part) {
    parts.bar.firstChild.className = "of" + Math.min(20, Math.floor(part * 20));
  }

  function next() {
    if (at + 1 < found.chosen.length) { exercise(at + 1); heading.focus(); } else end();
  }

  function over() {
    done[at] = !skipped[at];
    if (at + 1 >= found.chosen.length) { end(); return; }
    exercise(at + 1);
    ring(0);
    tell(say("follow.done_one") + ": " + found.chosen[at].text.title);
    parts.main.focus();
  }

  function tell(words) { parts.live.textContent = words; }

  /* --- the end --- */

  function end() {
    stopTimer();
    release();
    host.classList.remove("going");
    var all = found.chosen.every(function (_one, i) { return done[i]; }) && found.chosen.length + found.later.length === found.plan.picks.length;
    heading.textContent = say(all ? "follow.well_done" : "follow.ended");
    heading.focus();
    body.textContent = "";
    var single = found.plan.picks.length === 1;
    L.fill(body,
      el("p", { class: "aim", text: say(all ? "follow.done_words" : "follow.ended_words") }),
      kept(),
      el("p", { class: "tools" },
        el("a", {
          class: "button main", href: single ? L.href(found.chosen[0].text.href) : host.dataset.plan + "#" + fragment,
          text: say(single ? "follow.page" : "follow.plan"),
        }),
        el("button", { type: "button", onclick: show, text: say("follow.again") })));
  }

  function days() {
    try {
      var list = JSON.parse(localStorage.getItem(KEY) || "[]");
      return Array.isArray(list) ? list.filter(function (day) { return /^\d{4}-\d{2}-\d{2}$/.test(day); }).slice(-60) : [];
    } catch { return []; }
  }

  /* The days it was done, kept only while the box is ticked. */
  function kept() {
    var day = L.today(), list = el("div", {}), said = el("p", { class: "said", role: "status" });
    var box = el("input", { type: "checkbox", id: "follow-keep", checked: days().length > 0, onchange: function () {
      if (box.checked) store();
      else forget();
    } });
    function draw() {
      var done = days();
      list.textContent = "";
      if (!done.length) return;
      L.fill(list,
        el("p", { text: say("follow.days") + " " + done.slice(-14).map(dayWords).join(", ") }),
        el("p", {}, el("button", { type: "button", id: "follow-forget", onclick: forget, text: say("follow.forget") })));
    }
    function store() {
      var done = days();
      if (done.indexOf(day) < 0) done.push(day);
      try { localStorage.setItem(KEY, JSON.stringify(done)); } catch { box.checked = false; }
      said.textContent = "";
      draw();
    }
    function forget() {
      try { localStorage.removeItem(KEY); } catch { /* there was nothing */ }
      box.checked = false;
      box.focus();
      draw();
      said.textContent = say("follow.forgotten");
    }
    if (box.checked) store();
    return el("div", { class: "follow-kept" },
      el("p", { class: "tick-field" }, box, el("label", { for: "follow-keep", text: say("follow.keep") })),
      el("p", { class: "hint", text: say("follow.keep_words") }), list, said);
  }
  function dayWords(day) {
    return new Date(day + "T12:00:00").toLocaleDateString(L.data.language, { weekday: "short", day: "numeric", month: "short" });
  }

  /* --- sound and screen, where the device has them --- */

  function ring(low) {
    if (!sound) return;
    try {
      audio = audio || new (window.AudioContext || window.webkitAudioContext)();
      var tone = audio.createOscillator(), gain = audio.createGain();
      tone.frequency.value = RING[low];
      gain.gain.setValueAtTime(0.2, audio.currentTime);
      gain.gain.exponentialRampToValueAtTime(0.001, audio.currentTime + 0.3);
      tone.connect(gain);
      gain.connect(audio.destination);
      tone.start();
      tone.stop(audio.currentTime + 0.3);
    } catch { sound = false; }
  }

  function awake() {
    if (!navigator.wakeLock || lock) return;
    navigator.wakeLock.request("screen").then(function (held) { lock = held; held.addEventListener("release", function () { lock = null; }); }, function () { lock = null; });
  }
  function release() { if (lock) lock.release().catch(function () { /* it is gone already */ }); }

  document.addEventListener("visibilitychange", function () {
    if (document.hidden && now) halt();
    else if (!document.hidden && found && found.later.length && day !== L.today() && !at && (!now || now.phase < 0)) show();
  });
  window.addEventListener("hashchange", function () { every = false; show(); });
  show();
})();
