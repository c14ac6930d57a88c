// The slash goes to the search, and while a question is written down, what was answered before comes to light.
"use strict";
(() => {
  const typing = (target) => target.closest?.("input, textarea, select, [contenteditable]");

  document.addEventListener("keydown", (event) => {
    if (event.key !== "/" || event.ctrlKey || event.metaKey || event.altKey || typing(event.target)) return;
    const search = document.querySelector("main [data-slash]") ?? document.getElementById("find");
    if (!search) return;
    event.preventDefault();
    search.focus();
    search.select();
  });

  const asked = document.querySelector("textarea[data-alike]");
  const here = document.querySelector("[data-alike-here]");
  if (!asked || !here) return;
  let waiting;
  let under;
  const look = async () => {
    const text = asked.value.trim();
    under?.abort();
    if (text.length < 12) return here.replaceChildren();
    under = new AbortController();
    try {
      const query = new URLSearchParams({ asked: text.slice(0, 1500) });
      const answer = await fetch(`${asked.dataset.alike}?${query}`, { signal: under.signal });
      if (answer.ok) here.innerHTML = await answer.text();
    } catch (error) {
      // Another letter was typed, or the server is away: storing the question will say so.
      if (error.name !== "AbortError") here.replaceChildren();
    }
  };
  asked.addEventListener("input", () => {
    clearTimeout(waiting);
    waiting = setTimeout(look, 500);
  });
  if (asked.value && !here.firstElementChild) look();
})();
