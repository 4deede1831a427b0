/* The finder. The page holds every exercise; this hides what does not fit and puts the best first.

   In order: words (folded, split), the vocabulary (which word is in which exercise, how heavily), matching a typed
   word (whole, beginning, one slip), choices, showing, and the state in the address after the # sign, which no browser
   sends to a server. */
(function () {
  "use strict";

  var SHOWN = 48;
  var WEIGHT = { code: 9, title: 8, synonyms: 7, part: 9, group: 4, kit: 4, place: 3, aim: 2 };
  var GRADE = { whole: 1, start: 0.8, slip: 0.5 };
  var CHOICES = ["problem", "part", "position", "ladder", "kind"];

  function fold(text) {
    return text.toLowerCase().normalize("NFD").replace(/\p{M}+/gu, "");
  }

  function split(text) {
    return fold(text).split(/[^\p{L}\p{N}]+/u).filter(Boolean);
  }

  /* True when `word` begins with `typed` after one letter was added, left out, changed or swapped with its neighbour. */
  function oneSlip(typed, word) {
    var i = 0;
    while (i < typed.length && typed[i] === word[i]) i += 1;
    return word.startsWith(typed.slice(i + 1), i + 1) ||
      word.startsWith(typed.slice(i + 1), i) ||
      word.startsWith(typed.slice(i), i + 1) ||
      (typed[i] === word[i + 1] && typed[i + 1] === word[i] && word.startsWith(typed.slice(i + 2), i + 2));
  }

  function Vocabulary() {
    this.words = new Map();
    this.idle = new Set();
  }

  Vocabulary.prototype.add = function (text, row, weight) {
    var words = this.words;
    split(text).forEach(function (word) {
      var rows = words.get(word);
      if (!rows) words.set(word, rows = new Map());
      rows.set(row, Math.max(rows.get(row) || 0, weight));
    });
  };

  Vocabulary.prototype.join = function (everyday, meanings) {
    var words = this.words;
    var rows = words.get(everyday) || new Map();
    meanings.forEach(function (meaning) {
      (words.get(meaning) || new Map()).forEach(function (weight, row) {
        rows.set(row, Math.max(rows.get(row) || 0, weight * 0.9));
      });
    });
    if (rows.size) words.set(everyday, rows);
  };

  Vocabulary.prototype.match = function (typed) {
    var found = new Map();
    var take = function (rows, grade) {
      rows.forEach(function (weight, row) {
        found.set(row, Math.max(found.get(row) || 0, weight * grade));
      });
    };
    this.words.forEach(function (rows, word) {
      if (word.startsWith(typed)) take(rows, word === typed ? GRADE.whole : GRADE.start);
    });
    if (found.size === 0 && typed.length >= 3 && !/^\d+$/.test(typed)) {
      this.words.forEach(function (rows, word) {
        if (word.length >= 4 && oneSlip(typed, word)) take(rows, GRADE.slip);
      });
    }
    return found;
  };

  /* Give { scores: Map(row -> score) or null for all, unknown: [words], some: true when no row fits every word }. */
  function search(vocabulary, text) {
    var unknown = [];
    var hits = [];
    var words = split(text.replace(/([A-Za-z])(\d)/g, "$1 $2"));
    var telling = words.filter(function (word) { return !vocabulary.idle.has(word); });
    (telling.length ? telling : words).forEach(function (typed) {
      var found = vocabulary.match(typed);
      if (found.size) hits.push(found); else unknown.push(typed);
    });
    if (!hits.length) return { scores: unknown.length ? new Map() : null, unknown: unknown, some: false };
    var scores = new Map();
    var counts = new Map();
    hits.forEach(function (found) {
      found.forEach(function (weight, row) {
        scores.set(row, (scores.get(row) || 0) + weight);
        counts.set(row, (counts.get(row) || 0) + 1);
      });
    });
    var most = Math.max.apply(null, Array.from(counts.values()));
    counts.forEach(function (count, row) { if (count < most) scores.delete(row); });
    return { scores: scores, unknown: unknown, some: most < hits.length };
  }

  window.limberleafFinder = function (index) {
    var form = document.querySelector("form.finder");
    if (!form) return;
    var box = form.elements.q;
    var hits = document.getElementById("hits");
    var more = document.querySelector(".more");
    var all = document.querySelector(".all");
    var found = form.querySelector(".found [role=status]");
    var clear = form.querySelector("[data-do=clear]");
    var narrow = form.querySelector(".narrow");
    var narrowCount = form.querySelector(".narrow-count");
    var kitCount = form.querySelector(".kit-count");
    var plural = new Intl.PluralRules(document.documentElement.lang);
    var counted = JSON.parse(form.dataset.found);
    var limit = SHOWN;

    var vocabulary = new Vocabulary();
    var rows = index.rows.map(function (raw, at) {
      var item = document.querySelector('li[data-code="' + raw[0] + '"]');
      var pick = function (name) { return function (i) { return index[name][i]; }; };
      var named = function (name) { return function (i) { return index.names[name][i]; }; };
      vocabulary.add(raw[0], at, WEIGHT.code);
      vocabulary.add(String(+raw[0].split("-")[1]), at, WEIGHT.code); // “KN 3” is kn-03
      vocabulary.add(item.querySelector("a").textContent, at, WEIGHT.title);
      vocabulary.add(raw[7], at, WEIGHT.synonyms);
      vocabulary.add(index.names.regions[raw[1]], at, WEIGHT.part);
      vocabulary.add(index.names.positions[raw[2]] + " " + index.names.kinds[raw[3]], at, WEIGHT.place);
      vocabulary.add(raw[4].map(named("kit")).join(" "), at, WEIGHT.kit);
      vocabulary.add(raw[5].map(named("ladders")).concat(raw[6].map(named("collections"))).join(" "), at, WEIGHT.group);
      vocabulary.add(raw[8], at, WEIGHT.aim);
      return {
        item: item, home: item.parentNode,
        part: [index.regions[raw[1]]], position: [index.positions[raw[2]]], kind: [index.kinds[raw[3]]],
        kit: raw[4].map(pick("kit")), ladder: raw[5].map(pick("ladders")), problem: raw[6].map(pick("collections"))
      };
    });
    index.idle.forEach(function (word) { vocabulary.idle.add(fold(word)); });
    Object.keys(index.synonyms).forEach(function (word) {
      index.synonyms[word].forEach(function (meaning) { vocabulary.join(fold(word), split(meaning)); });
    });

    function kit() {
      return Array.from(form.querySelectorAll("[name=kit]:checked"), function (one) { return one.value; });
    }

    function fits(row, have) {
      return CHOICES.every(function (name) {
        var field = form.elements[name];
        return !field || !field.value || row[name].indexOf(field.value) >= 0;
      }) && (!have.length || row.kit.every(function (item) { return have.indexOf(item) >= 0; }));
    }

    function count(n) {
      return (counted[plural.select(n)] || counted.other).replace("{n}", n);
    }

    function show() {
      var have = kit();
      var chosen = (have.length ? 1 : 0) + CHOICES.filter(function (name) { return form.elements[name] && form.elements[name].value; }).length;
      var result = search(vocabulary, box.value);
      var busy = chosen > 0 || result.scores !== null;
      var order = [];
      rows.forEach(function (row, at) {
        if ((!result.scores || result.scores.has(at)) && fits(row, have)) order.push(at);
      });
      if (result.scores) {
        order.sort(function (a, b) { return result.scores.get(b) - result.scores.get(a) || a - b; });
      }
      if (busy) {
        var list = document.createDocumentFragment();
        order.forEach(function (at, i) {
          rows[at].item.hidden = i >= limit;
          list.appendChild(rows[at].item);
        });
        var kept = new Set(order);
        rows.forEach(function (row, at) { if (!kept.has(at)) row.home.appendChild(row.item); });
        hits.appendChild(list);
      } else {
        rows.forEach(function (row) {
          row.item.hidden = false;
          row.home.appendChild(row.item);
        });
      }
      hits.hidden = !busy;
      all.hidden = busy;
      more.hidden = !busy || order.length <= limit;
      clear.hidden = !busy;
      var words = order.length ? count(order.length) + (result.some ? ". " + form.dataset.some : "") : form.dataset.none;
      if (result.unknown.length) words += " " + form.dataset.left + " “" + result.unknown.join("”, “") + "”";
      found.textContent = words;
      CHOICES.forEach(function (name) {
        if (form.elements[name]) form.elements[name].classList.toggle("set", !!form.elements[name].value);
      });
      narrowCount.textContent = chosen ? "(" + chosen + ")" : "";
      if (kitCount) kitCount.textContent = have.length ? "(" + have.length + ")" : "";
    }

    function write() {
      var state = new URLSearchParams();
      if (box.value.trim()) state.set("q", box.value.trim());
      CHOICES.forEach(function (name) {
        if (form.elements[name] && form.elements[name].value) state.set(name, form.elements[name].value);
      });
      if (kit().length) state.set("kit", kit().join(" "));
      var text = state.toString();
      try {
        history.replaceState(null, "", text ? "#" + text : location.pathname + location.search);
      } catch (error) {
        /* some browsers forbid it for files on disk: the list still works, only without an address of its own */
      }
    }

    function read() {
      var raw = location.hash.slice(1);
      if (raw && raw.indexOf("=") < 0) return;
      var state = new URLSearchParams(raw || location.search.slice(1));
      box.value = (state.get("q") || "").slice(0, 200);
      CHOICES.forEach(function (name) {
        var field = form.elements[name];
        if (!field) return;
        field.value = state.get(name) || "";
        if (field.selectedIndex < 0) field.value = "";
      });
      var have = (state.get("kit") || "").split(" ");
      form.querySelectorAll("[name=kit]").forEach(function (one) { one.checked = have.indexOf(one.value) >= 0; });
      if (kit().length) form.querySelector(".kit").open = true;
      limit = SHOWN;
      show();
    }

    function links() {
      return Array.from(hits.hidden ? all.querySelectorAll("li[data-code] a") : hits.querySelectorAll("li:not([hidden]) a"));
    }

    function change() {
      limit = SHOWN;
      show();
      write();
    }

    form.addEventListener("input", change);
    form.addEventListener("submit", function (event) {
      event.preventDefault();
      var first = links()[0];
      if (!first || hits.hidden) return;
      var code = first.closest("li").dataset.code.replace("-", "");
      if (fold(box.value).replace(/[^\p{L}\p{N}]+/gu, "") === code) location.href = first.href;
      else first.focus();
    });
    clear.addEventListener("click", function () {
      form.reset();
      change();
      box.focus();
    });
    more.querySelector("button").addEventListener("click", function () {
      var next = limit;
      limit += SHOWN;
      show();
      links()[next].focus();
    });
    document.addEventListener("keydown", function (event) {
      if (event.key !== "ArrowDown" && event.key !== "ArrowUp") return;
      var every = links();
      var at = every.indexOf(document.activeElement);
      if (document.activeElement === box && event.key === "ArrowDown" && every.length) at = -1;
      else if (at < 0) return;
      event.preventDefault();
      var next = at + (event.key === "ArrowDown" ? 1 : -1);
      if (next < 0) box.focus();
      else if (every[next]) every[next].focus();
    });
    window.addEventListener("hashchange", read);

    form.hidden = false;
    narrow.open = window.matchMedia("(min-width: 50rem)").matches;
    read();
  };
})();
