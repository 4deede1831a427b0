/* A QR code of an address as an SVG: ISO/IEC 18004, byte mode, error level M, quiet zone of 4 modules, the mask with
   the lowest penalty. Versions 1 to 20 carry up to 666 bytes; a longer address gives null. */
(function () {
  "use strict";
  /** @type {Limberleaf} */
  var L = window.limberleaf;
  /* Codewords in all, by version (ISO/IEC 18004, table 1). */
  var TOTAL = [26, 44, 70, 100, 134, 172, 196, 242, 292, 346, 404, 466, 532, 581, 655, 733, 815, 901, 991, 1085];
  /* Error correction codewords of a block and number of blocks, level M, by version (ISO/IEC 18004, table 9). */
  var CHECK = [10, 16, 26, 18, 24, 16, 18, 22, 22, 26, 30, 22, 22, 24, 24, 28, 28, 26, 26, 26];
  var BLOCKS = [1, 1, 1, 2, 2, 4, 4, 4, 5, 5, 5, 8, 9, 9, 10, 10, 11, 13, 14, 16];
  var QUIET = 4;
  var EXP = [], LOG = [];
  for (var i = 0, x = 1; i < 255; i++) { EXP[i] = x; LOG[x] = i; x <<= 1; if (x & 256) x ^= 0x11d; }
  function mul(a, b) { return a && b ? EXP[(LOG[a] + LOG[b]) % 255] : 0; }

  function alignment(version) {
    if (version < 2) return [];
    var count = Math.floor(version / 7) + 2, size = 17 + 4 * version;
    var step = Math.ceil((version * 4 + 4) / (count * 2 - 2)) * 2, places = [6];
    for (var at = size - 7; places.length < count; at -= step) places.splice(1, 0, at);
    return places;
  }

  function remainder(data, degree) {
    var divisor = [], rest = [], root = 1, i, j;
    for (i = 0; i < degree; i++) { divisor.push(i < degree - 1 ? 0 : 1); rest.push(0); }
    for (i = 0; i < degree; i++) {
      for (j = 0; j < degree; j++) divisor[j] = mul(divisor[j], root) ^ (j + 1 < degree ? divisor[j + 1] : 0);
      root = mul(root, 2);
    }
    data.forEach(function (byte) {
      var factor = byte ^ rest.shift();
      rest.push(0);
      divisor.forEach(function (one, k) { rest[k] ^= mul(one, factor); });
    });
    return rest;
  }

  function codewords(bytes, version) {
    var total = TOTAL[version - 1], blocks = BLOCKS[version - 1], check = CHECK[version - 1];
    var room = total - blocks * check, bits = [];
    function put(value, length) { for (var k = length - 1; k >= 0; k--) bits.push((value >> k) & 1); }
    put(4, 4);
    put(bytes.length, version < 10 ? 8 : 16);
    bytes.forEach(function (byte) { put(byte, 8); });
    if (bits.length > room * 8) return null;
    put(0, Math.min(4, room * 8 - bits.length));
    while (bits.length % 8) bits.push(0);
    for (var pad = 0xec; bits.length < room * 8; pad ^= 0xec ^ 0x11) put(pad, 8);
    var data = [];
    for (var i = 0; i < bits.length; i += 8) data.push(parseInt(bits.slice(i, i + 8).join(""), 2));
    var short = blocks - (total % blocks), size = Math.floor(total / blocks) - check, parts = [], at = 0;
    for (i = 0; i < blocks; i++) {
      var own = data.slice(at, (at += size + (i < short ? 0 : 1)));
      parts.push({ data: own, check: remainder(own, check) });
    }
    var out = [];
    for (i = 0; i <= size; i++) parts.forEach(function (part) { if (i < part.data.length) out.push(part.data[i]); });
    for (i = 0; i < check; i++) parts.forEach(function (part) { out.push(part.check[i]); });
    return out;
  }

  var MASKS = [
    function (x, y) { return (x + y) % 2; }, function (_x, y) { return y % 2; }, function (x) { return x % 3; },
    function (x, y) { return (x + y) % 3; }, function (x, y) { return (Math.floor(x / 3) + Math.floor(y / 2)) % 2; },
    function (x, y) { return ((x * y) % 2) + ((x * y) % 3); }, function (x, y) { return (((x * y) % 2) + ((x * y) % 3)) % 2; },
    function (x, y) { return (((x + y) % 2) + ((x * y) % 3)) % 2; },
  ];

  function draw(words, version, mask) {
    var size = 17 + 4 * version, grid = [], fixed = [], x, y, k;
    for (y = 0; y < size; y++) { grid.push(new Array(size).fill(0)); fixed.push(new Array(size).fill(false)); }
    function set(x, y, dark) {
      if (x < 0 || y < 0 || x >= size || y >= size) return;
      grid[y][x] = dark ? 1 : 0;
      fixed[y][x] = true;
    }
    for (k = 0; k < size; k++) { set(6, k, k % 2 === 0); set(k, 6, k % 2 === 0); }
    [[3, 3], [size - 4, 3], [3, size - 4]].forEach(function (at) {
      for (var dy = -4; dy <= 4; dy++) for (var dx = -4; dx <= 4; dx++) {
        var ring = Math.max(Math.abs(dx), Math.abs(dy));
        set(at[0] + dx, at[1] + dy, ring !== 2 && ring !== 4);
      }
    });
    var places = alignment(version), last = places.length - 1;
    places.forEach(function (cx, i) { places.forEach(function (cy, j) {
      if ((i === 0 && j === 0) || (i === 0 && j === last) || (i === last && j === 0)) return;
      for (var dy = -2; dy <= 2; dy++) for (var dx = -2; dx <= 2; dx++) set(cx + dx, cy + dy, Math.max(Math.abs(dx), Math.abs(dy)) !== 1);
    }); });
    /* Format: level M is 00; BCH code 0x537, masked with 0x5412. */
    var rest = mask, bits;
    for (k = 0; k < 10; k++) rest = (rest << 1) ^ ((rest >> 9) * 0x537);
    bits = ((mask << 10) | rest) ^ 0x5412;
    function bit(k) { return (bits >> k) & 1; }
    for (k = 0; k < 6; k++) set(8, k, bit(k));
    set(8, 7, bit(6)); set(8, 8, bit(7)); set(7, 8, bit(8));
    for (k = 9; k < 15; k++) set(14 - k, 8, bit(k));
    for (k = 0; k < 8; k++) set(size - 1 - k, 8, bit(k));
    for (k = 8; k < 15; k++) set(8, size - 15 + k, bit(k));
    set(8, size - 8, 1);
    if (version > 6) {
      rest = version;
      for (k = 0; k < 12; k++) rest = (rest << 1) ^ ((rest >> 11) * 0x1f25);
      bits = (version << 12) | rest;
      for (k = 0; k < 18; k++) {
        var a = size - 11 + (k % 3), b = Math.floor(k / 3);
        set(a, b, bit(k)); set(b, a, bit(k));
      }
    }
    var at = 0;
    for (var right = size - 1; right >= 1; right -= 2) {
      if (right === 6) right = 5;
      for (var step = 0; step < size; step++) for (var j = 0; j < 2; j++) {
        x = right - j;
        y = ((right + 1) & 2) === 0 ? size - 1 - step : step;
        if (fixed[y][x]) continue;
        var dark = at < words.length * 8 ? (words[at >> 3] >> (7 - (at & 7))) & 1 : 0;
        grid[y][x] = dark ^ (MASKS[mask](x, y) === 0 ? 1 : 0);
        at++;
      }
    }
    return grid;
  }

  function penalty(grid) {
    var size = grid.length, sum = 0, dark = 0, x, y;
    function line(cells) {
      var text = cells.join("");
      (text.match(/0{5,}|1{5,}/g) || []).forEach(function (run) { sum += run.length - 2; });
      for (var i = 0; i + 11 <= text.length; i++) {
        var part = text.substr(i, 11);
        if (part === "10111010000" || part === "00001011101") sum += 40;
      }
    }
    for (y = 0; y < size; y++) {
      line(grid[y]);
      line(grid.map(function (row) { return row[y]; }));
      for (x = 0; x < size; x++) {
        dark += grid[y][x];
        if (x && y && grid[y][x] === grid[y - 1][x] && grid[y][x] === grid[y][x - 1] && grid[y][x] === grid[y - 1][x - 1]) sum += 3;
      }
    }
    return sum + Math.floor(Math.abs(dark * 20 - size * size * 10) / (size * size)) * 10;
  }

  L.qr = function (text) {
    var bytes = Array.from(new TextEncoder().encode(text)), words = null, version = 0;
    while (!words && version < CHECK.length) words = codewords(bytes, ++version);
    if (!words) return null;
    var best = null, least = Infinity;
    for (var mask = 0; mask < 8; mask++) {
      var grid = draw(words, version, mask), cost = penalty(grid);
      if (cost < least) { least = cost; best = grid; }
    }
    var whole = best.length + 2 * QUIET, path = "";
    best.forEach(function (row, y) { row.forEach(function (dark, x) {
      if (dark && !row[x - 1]) {
        var run = 1;
        while (row[x + run]) run++;
        path += "M" + (x + QUIET) + " " + (y + QUIET) + "h" + run + "v1h-" + run + "z";
      }
    }); });
    var svg = shape("svg", { viewBox: "0 0 " + whole + " " + whole, "shape-rendering": "crispEdges", "aria-hidden": "true" });
    svg.appendChild(shape("path", { fill: "#fff", d: "M0 0h" + whole + "v" + whole + "h-" + whole + "z" }));
    svg.appendChild(shape("path", { fill: "#000", d: path }));
    return svg;
  };
  function shape(tag, given) {
    var element = document.createElementNS("http://www.w3.org/2000/svg", tag);
    for (var key in given) element.setAttribute(key, given[key]);
    return element;
  }
})();
