/* Finding exercises by words, without a page: words (folded, split), the vocabulary (which word is in which exercise, how
   heavily) and matching what was typed (whole, beginning, one slip). The finder and the plan page search with it. */
(function () {
  "use strict";
  /** @type {Limberleaf} */
  var L = window.limberleaf = Object.prototype.hasOwnProperty.call(window, "limberleaf") ? window.limberleaf : {}; // not the element of that name
  var WEIGHT = { code: 9, title: 8, synonyms: 7, part: 9, group: 4, kit: 4, place: 3, aim: 2 };
  var GRADE = { whole: 1, start: 0.8, slip: 0.5 };
  var MEANT = 0.9, ENOUGH = 0.75;

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
    this.codes = new Map();
    this.phrases = new Map();
    this.idle = new Set();
    this.size = 0;
  }

  Vocabulary.prototype.add = function (text, row, weight) {
    split(text).forEach(function (word) { this.put(word, row, weight); }, this);
  };

  Vocabulary.prototype.put = function (word, row, weight) {
    var rows = this.words.get(word);
    if (!rows) this.words.set(word, rows = new Map());
    rows.set(row, Math.max(rows.get(row) || 0, weight));
  };

  /* What people say leads to each meaning; one of several words means the exercises that have all of them. */
  Vocabulary.prototype.join = function (everyday, meanings) {
    var own = this, parts = split(everyday), name = parts.join(" ");
    if (parts.length > 1) this.phrases.set(parts[0], (this.phrases.get(parts[0]) || []).concat([parts]));
    meanings.forEach(function (meaning) {
      var rows = split(meaning).map(function (word) { return own.words.get(word) || new Map(); });
      rows[0].forEach(function (_weight, row) {
        var all = rows.map(function (one) { return one.get(row) || 0; });
        if (Math.min.apply(null, all)) own.put(name, row, Math.min.apply(null, all) * MEANT);
      });
    });
  };

  /* Give the rows of a typed word with their weights: whole words, words that begin so, or else words one slip away. */
  Vocabulary.prototype.match = function (typed) {
    var found = new Map();
    function take(rows, grade) {
      rows.forEach(function (weight, row) { found.set(row, Math.max(found.get(row) || 0, weight * grade)); });
    }
    this.words.forEach(function (rows, word) {
      if (word.startsWith(typed)) take(rows, word === typed ? GRADE.whole : GRADE.start);
    });
    if (found.size === 0 && typed.length >= 4 && !/\d/.test(typed)) {
      this.words.forEach(function (rows, word) {
        if (word.length >= 4 && oneSlip(typed, word)) take(rows, GRADE.slip);
      });
    }
    return found;
  };

  /* Split what was typed; words that have a meaning together stay together, idle ones go where others are. */
  Vocabulary.prototype.read = function (text) {
    var parts = split(text.replace(/([A-Za-z])(\d)/g, "$1 $2")), words = [], own = this;
    while (parts.length) {
      var phrase = (own.phrases.get(parts[0]) || []).find(function (one) {
        return one.every(function (word, at) { return parts[at] === word; });
      });
      words.push(parts.splice(0, phrase ? phrase.length : 1).join(" "));
    }
    var telling = words.filter(function (word) { return !own.idle.has(word); });
    return telling.length ? telling : words;
  };

  /* Give { scores: Map(row -> score) or null for all, unknown: [words], known: how many words were found, some: true when
     no row fits every word }. A word that few exercises have tells more than one that many have. */
  function search(vocabulary, text) {
    var code = vocabulary.codes.get(fold(text).replace(/[^\p{L}\p{N}]+/gu, "").replace(/^(\p{L}+)0*/u, "$1"));
    if (code !== undefined) return { scores: new Map([[code, WEIGHT.code]]), unknown: [], known: 1, some: false };
    var unknown = [], known = 0, whole = 0, scores = new Map(), told = new Map();
    vocabulary.read(text).forEach(function (typed) {
      var found = vocabulary.match(typed), tells = Math.log(1 + vocabulary.size / (found.size || 1));
      if (!found.size) { unknown.push(typed); return; }
      known += 1;
      whole += tells;
      found.forEach(function (weight, row) {
        scores.set(row, (scores.get(row) || 0) + weight * tells);
        told.set(row, (told.get(row) || 0) + tells);
      });
    });
    if (!known) return { scores: unknown.length ? new Map() : null, unknown: unknown, known: 0, some: false };
    var most = Math.max.apply(null, Array.from(told.values()));
    told.forEach(function (tells, row) { if (tells < most * ENOUGH) scores.delete(row); });
    return { scores: scores, unknown: unknown, known: known, some: most < whole - 1e-9 };
  }

  /* Make the vocabulary of an index; `titles` are those of its rows, in order. */
  L.vocabulary = function (index, titles) {
    var vocabulary = new Vocabulary();
    vocabulary.size = index.rows.length;
    index.rows.forEach(function (raw, at) {
      function named(name) { return function (i) { return index.names[name][i]; }; }
      vocabulary.add(raw[0], at, WEIGHT.code);
      vocabulary.codes.set(raw[0].replace(/-0*/, ""), at); // “KN 3” is kn-03
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
      vocabulary.join(word, index.synonyms[word]);
    });
    return vocabulary;
  };
  L.search = search;
  L.bestOf = function (scores) {
    return Array.from(scores.keys()).sort(function (a, b) { return scores.get(b) - scores.get(a) || a - b; });
  };
  L.fold = fold;
})();
