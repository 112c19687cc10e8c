"use strict";
// Folds: all at once, and on paper.
const folds = () => document.querySelectorAll("details");
document.querySelector(".folds").hidden = !folds().length;
for (const button of document.querySelectorAll("[data-open]"))
  button.addEventListener("click", () => {
    for (const fold of folds()) fold.open = button.dataset.open === "yes";
  });
const shut = [];
addEventListener("beforeprint", () => {
  for (const fold of document.querySelectorAll("details:not(.screen, [open])")) { fold.open = true; shut.push(fold); }
});
addEventListener("afterprint", () => {
  for (const fold of shut.splice(0)) fold.open = false;
});

// A register: rows chosen by the lists and by words, sorted by the buttons in its head. Without this it is one table.
for (const register of document.querySelectorAll(".register")) {
  const form = register.querySelector(".picks"), state = register.querySelector(".state");
  const rest = register.querySelector(".rest"), more = rest.querySelector("button");
  const body = register.querySelector("tbody"), heads = [...register.querySelectorAll("thead th")];
  const words = form.querySelector("input"), lists = [...form.querySelectorAll("[data-pick]")];
  const sorts = form.querySelector("[data-sort]");  // on a phone, which has no room for a head
  const rows = [...body.rows].map((row, place) => ({
    row, place,
    cells: [...row.cells].map(cell => cell.textContent),
    said: row.textContent.toLowerCase(),
    keys: row.dataset.keys.split(";").map(key => key === "" ? null : key === "inf" ? Infinity : Number(key)),
    picks: row.dataset.picks.split(";").map(pick => new Map(pick.split(",").map(one => one.split("=")))),
  }));
  const collator = new Intl.Collator("en", { numeric: true, sensitivity: "base" });
  let column = -1, down = true, whole = false;

  // What a row is sorted by: a number, words, or null for nothing. A chosen option has a figure of its own.
  function key(one) {
    const list = lists.find(list => list.value !== "" && Number(list.dataset.by) === column);
    if (list) return Number(one.picks[lists.indexOf(list)].get(list.value) ?? 0);
    const number = one.keys[column];
    if (number !== null) return number;
    const text = one.cells[column];
    return numbers[column] || text === "\u2014" ? null : text;
  }
  const numbers = heads.map((_, at) => rows.some(one => one.keys[at] !== null));

  function before(one, other) {
    const a = key(one), b = key(other);
    if (a === null || b === null) return (a === null) - (b === null) || one.place - other.place;  // nothing comes last
    const order = typeof a === "number" ? (a === b ? 0 : a < b ? -1 : 1) : collator.compare(a, b);
    return (down ? -order : order) || one.place - other.place;
  }

  function show() {
    const wanted = words.value.trim().toLowerCase().split(/\s+/);
    const chosen = rows.filter(one => lists.every((list, at) => list.value === "" || one.picks[at].has(list.value))
      && wanted.every(word => one.said.includes(word)));
    chosen.sort(column < 0 ? (one, other) => one.place - other.place : before);
    const first = whole ? chosen.length : Math.min(chosen.length, Number(register.dataset.first));
    body.replaceChildren(...chosen.slice(0, first).map(one => one.row));
    const way = down ? "descending" : "ascending";
    heads.forEach((head, at) => head.setAttribute("aria-sort", at === column ? way : "none"));
    const sorted = column < 0 ? "the worst first"
      : `sorted by \u201c${heads[column].firstChild.textContent}\u201d, ${down ? "falling" : "rising"}`;
    const every = chosen.length < rows.length ? `; ${rows.length} rows in all` : "";
    state.textContent = first === rows.length ? `All ${rows.length} rows shown, ${sorted}.`
      : `${first} of ${chosen.length} rows shown, ${sorted}${every}.`;
    sorts.value = column < 0 ? "" : column;
    rest.hidden = first === chosen.length;
    more.textContent = `Show all ${chosen.length} rows`;
  }

  function sort(at, falling) {  // numbers fall first, words rise
    [column, down] = [at, falling];
    show();
  }

  heads.forEach((head, at) => {
    const button = document.createElement("button");
    button.type = "button";
    button.textContent = head.textContent;
    const paper = document.createElement("span");  // a button would not be repeated on the next sheet
    paper.className = "paper";
    paper.textContent = button.textContent;
    head.replaceChildren(button, paper);
    button.addEventListener("click", () => sort(at, column === at ? !down : numbers[at]));
  });
  sorts.addEventListener("change", () => sort(sorts.value === "" ? -1 : Number(sorts.value), numbers[sorts.value]));
  for (const list of lists) list.addEventListener("change", () => {
    if (Number(list.dataset.by) >= 0 && list.value !== "") sort(Number(list.dataset.by), true);
    else show();
  });
  words.addEventListener("input", show);
  form.querySelector("button").addEventListener("click", () => {
    for (const field of [...lists, words]) field.value = "";
    whole = false;
    sort(-1, true);
  });
  more.addEventListener("click", () => {
    const next = Number(register.dataset.first);
    whole = true;
    show();
    body.rows[next]?.cells[0].setAttribute("tabindex", "-1");
    body.rows[next]?.cells[0].focus();
  });
  for (const one of rows) for (const cell of one.row.querySelectorAll("td")) cell.setAttribute("role", "cell");
  form.hidden = false;
  show();
}
