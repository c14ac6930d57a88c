// A steel rule and its number field say the same number; the steppers beside them go by its step.
"use strict";
(() => {
  const tell = (field) => field.dispatchEvent(new Event("input", { bubbles: true }));
  const rulesOf = (field) => document.querySelectorAll(`input[type="range"][data-for="${CSS.escape(field.id)}"]`);

  const speak = (rule) => {
    const minus = (number) => String(number).replace("-", "−");
    const was = rule.dataset.was === undefined ? "" : `, was ${rule.dataset.was}`;
    rule.setAttribute("aria-valuetext", `${minus(rule.value)} ${rule.dataset.unit}${was}`);
  };

  document.addEventListener("input", (event) => {
    const moved = event.target;
    if (moved.matches?.('input[type="range"][data-for]')) {
      speak(moved);
      const field = document.getElementById(moved.dataset.for);
      if (field.value !== moved.value) {
        field.value = moved.value;
        tell(field);
      }
    } else if (moved.matches?.('input[type="number"]')) {
      for (const rule of rulesOf(moved)) {
        if (moved.value === "" || rule.value === moved.value) continue;
        rule.value = moved.value;
        speak(rule);
      }
    }
  });

  document.addEventListener("click", (event) => {
    const button = event.target.closest?.("button[data-step]");
    if (!button) return;
    event.preventDefault();
    const field = button.parentElement.querySelector('input[type="number"]');
    const step = Number(field.step) * Number(button.dataset.step);
    // Decimal steps leave no tail of binary ones.
    field.value = String(Number((Number(field.value) + step).toFixed(6)));
    tell(field);
  });
})();
