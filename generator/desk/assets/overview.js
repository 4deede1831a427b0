/* The overview: filters, search and sorting. All of it lives in the address after #, so that a view can be kept. */
(() => {
  "use strict";
  const table = document.querySelector("table.pages"), form = document.querySelector(".desk-filters");
  if (!table || !form) return;
  const body = table.tBodies[0], rows = [...body.rows], shown = document.querySelector(".shown");
  const find = form.querySelector("#f-text"), sort = form.querySelector("#f-sort");
  const selects = [...form.querySelectorAll("[data-filter]")], heads = [...table.tHead.rows[0].cells];
  const plain = (text) => text.toLowerCase().normalize("NFD").replace(/\p{M}/gu, "");
  const words = new Map(rows.map((row) => [row, plain(row.textContent)]));

  heads.forEach((head, index) => {
    const name = head.textContent, first = head.dataset.first || "up";
    const button = document.createElement("button");
    button.type = "button";
    button.textContent = name;
    head.replaceChildren(button);
    button.addEventListener("click", () => {
      const [column, way] = sort.value.split(" ");
      const turned = way === "up" ? "down" : "up";
      sort.value = `${index} ${column === String(index) ? turned : first}`;
      show(true);
    });
    for (const way of first === "up" ? ["up", "down"] : ["down", "up"]) {
      sort.add(new Option(`${name}, ${way === "up" ? "rising" : "falling"}`, `${index} ${way}`));
    }
  });

  function order() {
    const [column, way] = sort.value.split(" ");
    const turn = way === "down" ? -1 : 1;
    const value = (row) => row.cells[column].dataset.value;
    const numeric = column !== "urgent" && rows.every((row) => value(row) !== "" && !Number.isNaN(Number(value(row))));
    const compare = new Intl.Collator(document.documentElement.lang, { numeric: true }).compare;
    rows.sort((a, b) => {
      const first = Number(a.dataset.urgent) - Number(b.dataset.urgent);
      if (column === "urgent") return first;
      const order = numeric ? Number(value(a)) - Number(value(b)) : compare(value(a), value(b));
      return order * turn || first;
    });
    heads.forEach((head, index) => {
      if (String(index) === column) head.setAttribute("aria-sort", way === "up" ? "ascending" : "descending");
      else head.removeAttribute("aria-sort");
    });
    body.append(...rows);
  }

  function fits(row) {
    return selects.every((select) =>
      !select.value || row.dataset[select.dataset.filter].split(
        select.dataset.filter === "collection" ? " " : "\n",
      ).includes(select.value)
    ) &&
      plain(find.value).split(/\s+/).every((word) => words.get(row).includes(word));
  }

  function show(keep) {
    order();
    let count = 0;
    for (const row of rows) {
      row.hidden = !fits(row);
      count += Number(!row.hidden);
    }
    shown.textContent = count === rows.length ? `${count} pages` : `${count} of ${rows.length} pages`;
    if (keep) remember();
  }

  function remember() {
    const choices = new URLSearchParams();
    for (const field of [find, sort, ...selects]) {
      if (field.value && field.value !== "urgent") choices.set(field.id.slice(2), field.value);
    }
    history.replaceState(null, "", `#${choices}`.replace(/^#$/, " "));
  }

  function recall() {
    const choices = new URLSearchParams(location.hash.slice(1));
    for (const field of [find, sort, ...selects]) {
      const value = choices.get(field.id.slice(2)) || "";
      if (field === find || [...field.options].some((option) => option.value === value)) field.value = value;
    }
    if (!sort.value) sort.value = "urgent";
    show(false);
  }

  form.hidden = false;
  form.addEventListener("input", () => show(true));
  form.addEventListener("submit", (event) => event.preventDefault());
  form.addEventListener("reset", () => setTimeout(() => show(true)));
  addEventListener("hashchange", recall);
  recall();
})();
