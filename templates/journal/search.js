/* Search over all cooks, from the disk and without a network. Without this script the lists are
   read; the rows are fetched as a script when somebody first asks for them. */
"use strict";
(() => {
  const place = document.getElementById("search");
  if (!place) return;
  const root = place.dataset.root;
  const most = 30;
  const make = (name, set, ...inside) => {
    const node = Object.assign(document.createElement(name), set);
    node.append(...inside);
    return node;
  };
  const box = make("input", { type: "search", id: "looked-for", autocomplete: "off", enterKeyHint: "search" });
  const said = make("p", { className: "found" });
  said.setAttribute("role", "status");
  const list = make("ol", { className: "hits" });
  place.append(make("label", { htmlFor: "looked-for" }, "Look for a cook"), box, said, list);
  place.hidden = false;

  const flat = (text) => text.normalize("NFKD").replace(/\p{M}/gu, "").toLowerCase();
  const look = (asked) => {
    const words = flat(asked).split(/\s+/).filter(Boolean);
    if (!words.length) return [];
    const rows = globalThis.cooksOfThisJournal;
    const found = [];
    for (let i = 0; i < rows.length; i += 1) {
      const text = rows[i][4];
      let late = 0; // the sooner it is said, the more it is about it: the title comes first
      for (const word of words) {
        const at = text.indexOf(word);
        if (at < 0) { late = -1; break; }
        late += Math.min(at, 400);
      }
      if (late >= 0) found.push([late < rows[i][1].length * words.length ? 0 : 1, i]);
    }
    return found.sort((one, other) => one[0] - other[0] || one[1] - other[1]).map((hit) => rows[hit[1]]);
  };
  const show = () => {
    if (!globalThis.cooksOfThisJournal) return;
    const hits = look(box.value);
    const lines = hits.slice(0, most).map(([page, title, day, what]) =>
      make("li", {}, make("a", { href: root + page }, make("strong", { textContent: title, dir: "auto" }),
        make("span", { textContent: `${day}. ${what}`, dir: "auto" }))));
    list.replaceChildren(...lines);
    const many = hits.length === 1 ? "One cook" : `${hits.length || "No"} cook${hits.length ? "s" : ""}`;
    said.textContent = box.value.trim() ? many + (hits.length > most ? `, the first ${most} of them:` : hits.length ? ":" : " found.") : "";
  };
  let asked = false;
  const read = () => {
    if (asked) return;
    asked = true;
    document.head.append(make("script", { src: `${root}search-rows.js`, onload: show }));
  };
  box.addEventListener("focus", read);
  box.addEventListener("input", () => { read(); show(); });
})();
