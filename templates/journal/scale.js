/* Rubs, sauces and stock for another amount. Without this script they stand as they were made. */
"use strict";
(() => {
  const make = (name, set, ...inside) => {
    const node = Object.assign(document.createElement(name), set);
    node.append(...inside);
    return node;
  };
  // As everywhere: whole grams, and a tenth where it is little.
  const grams = (value) => (value < 9.95 ? value.toFixed(1) : value.toFixed(0));
  for (const mix of document.querySelectorAll(".mix[data-for]")) {
    const cells = [...mix.querySelectorAll("[data-grams]")].map((cell) => [cell, Number(cell.dataset.grams)]);
    const total = cells.length ? cells[cells.length - 1][1] : 0;
    if (!total) continue;
    const parts = mix.dataset.for.match(/^(\D*?)(\d+(?:\.\d+)?)(\D*)$/);
    const [before, from, after] = parts && Number(parts[2]) > 0
      ? [parts[1].trim(), Number(parts[2]), parts[3].trim()] : ["", Number(grams(total)), "g of it"];
    const input = make("input", { type: "number", min: "0", step: "any", value: String(from), inputMode: "decimal" });
    const back = make("button", { type: "button", textContent: "as it was made", hidden: true });
    const said = make("p", { className: "remark", hidden: true, textContent: "Spoons and remarks hold for the amount it was made in: weigh these." });
    said.setAttribute("role", "status");
    const show = () => {
      const asked = Number(input.value);
      const factor = asked > 0 && asked < 1e6 ? asked / from : 1;
      for (const [cell, made] of cells) cell.textContent = grams(made * factor);
      mix.classList.toggle("scaled", factor !== 1);
      back.hidden = said.hidden = factor === 1;
    };
    input.addEventListener("input", show);
    back.addEventListener("click", () => { input.value = String(from); show(); input.focus(); });
    mix.prepend(make("p", { className: "scale" }, make("label", {}, before ? `Make it ${before} ` : "Make ", input, ` ${after}`), " ", back));
    mix.querySelector("table").after(said);
  }
})();
