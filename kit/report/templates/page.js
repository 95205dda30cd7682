"use strict";
(() => {
  const draw = async (figure) => {
    const place = figure.querySelector(".plot");
    const spec = JSON.parse(figure.querySelector("script.spec").textContent);
    const options = { mode: "vega-lite", actions: false, ast: true, renderer: "svg", defaultStyle: false, tooltip: { theme: "kit" } };
    try {
      await window.vegaEmbed(place, spec, options);
      figure.classList.add("drawn");
    } catch (error) {
      figure.classList.add("undrawn");
      console.error(error);
    }
  };
  const figures = [...document.querySelectorAll("figure.chart")];
  if (window.vegaEmbed) Promise.all(figures.map(draw)).then(() => document.body.setAttribute("data-drawn", ""));

  // A phone gets the list of questions folded: the first answer comes before the list of all.
  const contents = document.querySelector(".contents details");
  const narrow = matchMedia("(max-width: 40rem)");
  const fold = () => { contents.open = !narrow.matches; };
  if (contents) { fold(); narrow.addEventListener("change", fold); }

  // Paper gets the short folds; a fold of many rows would make fifty sheets of it. A record for the inspector prints whole.
  const whole = document.body.classList.contains("wide");
  const folded = [...document.querySelectorAll("details")].filter((one) => one !== contents).filter((one) => whole || one.querySelectorAll("tbody tr").length <= 12);
  let closed = [];
  addEventListener("beforeprint", () => {
    closed = folded.filter((one) => !one.open);
    closed.forEach((one) => { one.open = true; });
  });
  addEventListener("afterprint", () => closed.forEach((one) => { one.open = false; }));

  const text = (row, column) => row.cells[column].dataset.sort ?? row.cells[column].textContent.trim();
  const order = (one, other) => Number(one) - Number(other) || one.localeCompare(other, undefined, { numeric: true, sensitivity: "base" });
  for (const button of document.querySelectorAll("th button.sort")) {
    button.hidden = false;
    button.addEventListener("click", () => {
      const head = button.closest("th");
      const body = head.closest("table").tBodies[0];
      const up = head.getAttribute("aria-sort") !== "ascending";
      for (const other of head.parentElement.cells) other.removeAttribute("aria-sort");
      head.setAttribute("aria-sort", up ? "ascending" : "descending");
      const rows = [...body.rows].sort((a, b) => order(text(a, head.cellIndex), text(b, head.cellIndex)));
      body.append(...(up ? rows : rows.reverse()));
    });
  }
  const search = document.querySelector("input.search");
  if (search) {
    search.closest("p").hidden = false;
    search.addEventListener("input", () => {
      const wanted = search.value.trim().toLowerCase();
      let shown = 0;
      for (const row of document.querySelectorAll("table.apiaries tbody tr")) {
        row.hidden = !row.textContent.toLowerCase().includes(wanted);
        shown += row.hidden ? 0 : 1;
      }
      document.querySelector("output.found").textContent = wanted ? `${shown} found` : "";
    });
  }
})();
