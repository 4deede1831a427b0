/* Finding exercises by words, without a page: words (folded, split), the vocabulary (which word is in which exercise, how
   heavily) and matching what was typed (whole, beginning, one slip). The finder and the plan page search with it. */
(function () {
  "use strict";
  var L = (window.limberleaf = window.limberleaf || {});
  var WEIGHT = { code: 9, title: 8, synonyms: 7, part: 9, group: 4, kit: 4, place: 3, aim: 2 };
  var GRADE = { whole: 1, start: 0.8, slip: 0.5 };

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
    if (found.size === 0 && typed.length >= 4 && !/^\d+$/.test(typed)) {
      this.words.forEach(function (rows, word) {
        if (word.length >= 4 && oneSlip(typed, word)) take(rows, GRADE.slip);
      });
    }
    return found;
  };

  /* Give { scores: Map(row -> score) or null for all, unknown: [words], known: how many words were found, some: true when
     no row fits every word }. */
  function search(vocabulary, text) {
    var unknown = [];
    var hits = [];
    var words = split(text.replace(/([A-Za-z])(\d)/g, "$1 $2"));
    var telling = words.filter(function (word) { return !vocabulary.idle.has(word); });
    (telling.length ? telling : words).forEach(function (typed) {
      var found = vocabulary.match(typed);
      if (found.size) hits.push(found); else unknown.push(typed);
    });
    if (!hits.length) return { scores: unknown.length ? new Map() : null, unknown: unknown, known: 0, some: false };
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
    return { scores: scores, unknown: unknown, known: hits.length, some: most < hits.length };
  }

  /* Make the vocabulary of an index; `titles` are those of its rows, in order. */
  L.vocabulary = function (index, titles) {
    var vocabulary = new Vocabulary();
    index.rows.forEach(function (raw, at) {
      function named(name) { return function (i) { return index.names[name][i]; }; }
      vocabulary.add(raw[0], at, WEIGHT.code);
      vocabulary.add(String(+raw[0].split("-")[1]), at, WEIGHT.code); // “KN 3” is kn-03
      vocabulary.add(titles[at], at, WEIGHT.title);
      vocabulary.add(raw[7], at, WEIGHT.synonyms);
      vocabulary.add(index.names.regions[raw[1]], at, WEIGHT.part);
      vocabulary.add(index.names.positions[raw[2]] + " " + index.names.kinds[raw[3]], at, WEIGHT.place);
      vocabulary.add(raw[4].map(named("kit")).join(" "), at, WEIGHT.kit);
      vocabulary.add(raw[5].map(named("ladders")).concat(raw[6].map(named("collections"))).join(" "), at, WEIGHT.group);
      vocabulary.add(raw[8], at, WEIGHT.aim);
    });
    index.idle.forEach(function (word) { vocabulary.idle.add(fold(word)); });
    Object.keys(index.synonyms).forEach(function (word) {
      index.synonyms[word].forEach(function (meaning) { vocabulary.join(fold(word), split(meaning)); });
    });
    return vocabulary;
  };
  L.search = search;
  L.bestOf = function (scores) {
    return Array.from(scores.keys()).sort(function (a, b) { return scores.get(b) - scores.get(a) || a - b; });
  };
  L.fold = fold;
})();
