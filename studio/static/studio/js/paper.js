// Keeps what a person opened open when a part of the page is exchanged, and keeps the place of the keyboard.
(() => {
  "use strict";

  const pathOf = (details) => {
    const steps = [];
    for (let node = details; node; node = node.parentElement.closest("details")) {
      const name = node.dataset.figure || (node.querySelector(":scope > summary > .label") || {}).textContent || "";
      steps.push(name);
    }
    return steps.join("|");
  };

  let open = new Set();

  document.addEventListener("htmx:beforeSwap", (event) => {
    open = new Set([...event.detail.target.querySelectorAll("details[open]")].map(pathOf));
  });

  document.addEventListener("htmx:afterSettle", () => {
    for (const details of document.querySelectorAll("details")) {
      const path = pathOf(details);
      if (path && open.has(path)) details.open = true;
    }
    open = new Set();
  });
})();
