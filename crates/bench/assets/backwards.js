// Working backwards: while a rule is dragged or a wish is written the server is asked for the options, one request at a time, the newest
// state first. A search that takes long is given up for a newer state; the server stops it. Nothing is computed here; without this script
// the same form does the same by its button.
"use strict";
(() => {
  const form = document.getElementById("backwards");
  const place = document.getElementById("reached");
  const state = document.getElementById("reached-state");
  if (!form?.dataset.live || !place || !state) return;

  const REST = 250; // ms without a key after which words are read
  const SLOW = 400; // ms after which it is said that a search is going on
  const LONG = 1500; // ms after which it is given up for a newer state
  let asking = null;
  let long = false;
  let newer = false;
  let rest = 0;

  const fields = () => {
    const all = new URLSearchParams(new FormData(form));
    for (const [name, value] of [...all]) if (value === "" || value === "0") all.delete(name, value);
    return all;
  };

  const say = (words, stale) => {
    state.textContent = words;
    place.classList.toggle("stale", stale);
  };

  const ask = async () => {
    clearTimeout(rest);
    newer = true;
    if (asking) {
      if (long) asking.abort();
      return;
    }
    while (newer) {
      newer = false;
      const sent = fields();
      const listed = sent.has("stock");
      const request = new AbortController();
      asking = request;
      long = false;
      const told = setTimeout(() => say("Weighing the combinations …", true), SLOW);
      const late = setTimeout(() => {
        long = true;
        if (newer) request.abort();
      }, LONG);
      try {
        const to = listed ? form.dataset.live : `${form.dataset.live}?${sent}`;
        const reply = await fetch(to, { signal: request.signal, ...(listed && { method: "POST", body: sent }) });
        if (!reply.ok || reply.redirected) throw new Error(reply.status);
        const parts = new DOMParser().parseFromString(await reply.text(), "text/html");
        if (!place.contains(document.activeElement) || !newer) place.replaceChildren(...parts.body.childNodes);
        if (!listed) history.replaceState(history.state, "", `${location.pathname}?${sent}`);
        say("", false);
      } catch (error) {
        if (error.name !== "AbortError") say("No answer came: what stands here is older than what is asked. “Find the parts” asks again.", true);
      }
      clearTimeout(told);
      clearTimeout(late);
    }
    asking = null;
  };

  form.addEventListener("input", (event) => {
    const field = event.target;
    if (field.name === "bike" || field.name === "compare") return;
    if (field.matches("textarea")) {
      clearTimeout(rest);
      rest = setTimeout(ask, REST);
    } else {
      ask();
    }
  });
  // Another bike has other rules: the page is asked for anew.
  form.addEventListener("change", (event) => {
    if (event.target.name === "bike") form.requestSubmit();
  });
})();
