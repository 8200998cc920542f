"use strict";
// Adds what the page does not need: a filter, and words for the run that is pointed at.
(() => {
  const runs = [...document.querySelectorAll("a.run")];
  const rows = [...document.querySelectorAll("#runs tbody tr, #orders tbody tr")];
  const detail = document.getElementById("detail");
  const words = (run) => run.querySelector("title").textContent;

  const show = (run) => {
    detail.textContent = words(run);
    detail.hidden = false;
    for (const other of runs) other.classList.toggle("same", other.dataset.run === run.dataset.run);
  };
  for (const run of runs) {
    run.addEventListener("mouseenter", () => show(run));
    run.addEventListener("focus", () => show(run));
    run.addEventListener("click", () => document.getElementById("run-" + run.dataset.run).focus());
  }
  document.addEventListener("keydown", (event) => {
    if (event.key !== "Escape") return;
    detail.hidden = true;
    for (const run of runs) run.classList.remove("same");
  });

  const input = document.getElementById("filter");
  document.querySelector(".filter").hidden = false;
  input.addEventListener("input", () => {
    const wanted = input.value.trim().toLowerCase();
    const numbers = new Set();
    for (const run of runs) {
      const fits = words(run).toLowerCase().includes(wanted);
      run.classList.toggle("dim", !fits);
      if (fits) numbers.add(run.dataset.run);
    }
    for (const row of rows) {
      row.hidden = !row.textContent.toLowerCase().includes(wanted) && !numbers.has(row.id.replace("run-", ""));
    }
    document.getElementById("shown").textContent = wanted ? numbers.size + " runs" : "";
  });
})();
