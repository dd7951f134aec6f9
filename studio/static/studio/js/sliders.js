// Sliders beside number fields: what slides is written into the field in the studio's own unit, and the other way round.
(() => {
  "use strict";

  const fieldOf = (slider) => document.getElementById(slider.dataset.slides);

  const follow = (slider) => {
    const field = fieldOf(slider);
    const number = Number(field.value.trim().replace("−", "-").replace(",", "."));
    if (field.value.trim() !== "" && Number.isFinite(number)) slider.value = String(number);
  };

  const show = () => {
    for (const slider of document.querySelectorAll("input.slider[hidden]")) {
      slider.hidden = false;
      follow(slider);
    }
  };

  document.addEventListener("input", (event) => {
    const moved = event.target;
    if (!(moved instanceof HTMLInputElement)) return;
    if (moved.matches("input.slider")) {
      fieldOf(moved).value = moved.value.replace(".", moved.dataset.sign);
      document.querySelectorAll(`input.slider[data-slides="${moved.dataset.slides}"]`).forEach((slider) => slider === moved || follow(slider));
      return;
    }
    document.querySelectorAll(`input.slider[data-slides="${CSS.escape(moved.id)}"]`).forEach(follow);
  });

  document.addEventListener("htmx:load", show);
  if (document.readyState === "loading") document.addEventListener("DOMContentLoaded", show);
  else show();
})();
