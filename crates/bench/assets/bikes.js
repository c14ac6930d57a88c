// Records: nothing typed is left by accident, a tool means measured, and a fault leads to its place in the text.
"use strict";
(() => {
  for (const form of document.querySelectorAll("form[data-guard]")) {
    let touched = false;
    form.addEventListener("input", () => (touched = true));
    form.addEventListener("submit", () => (touched = false));
    addEventListener("beforeunload", (event) => touched && event.preventDefault());
  }

  document.addEventListener("input", (event) => {
    const tool = event.target.closest?.("[data-with]");
    const known = tool?.closest(".record-field")?.querySelector("[data-known]");
    if (known && tool.value.trim() && known.value === "published") known.value = "measured";
  });

  document.addEventListener("click", (event) => {
    const link = event.target.closest?.("a[data-line]");
    const text = document.getElementById("text");
    if (!link || !text) return;
    event.preventDefault();
    const lines = text.value.split("\n");
    const line = Math.min(Number(link.dataset.line), lines.length);
    const start = lines.slice(0, line - 1).reduce((sum, one) => sum + one.length + 1, 0);
    const place = start + Math.min(Number(link.dataset.column) - 1, lines[line - 1].length);
    text.focus();
    text.setSelectionRange(place, start + lines[line - 1].length);
    const height = parseFloat(getComputedStyle(text).lineHeight) || 20;
    text.scrollTop = Math.max(0, (line - 4) * height);
  });
})();
