// Working backwards: while a rule is dragged or a wish is written the server is asked for the options, one request at a time, the newest
// state first. Nothing is computed here; without this script the same form does the same by its button.
"use strict";
(() => {
  const form = document.getElementById("backwards");
  const place = document.getElementById("reached");
  if (!form?.dataset.live || !place) return;

  const REST = 250; // ms without a key after which words are read
  let asking = null;
  let newer = false;
  let rest = 0;

  const fields = () => {
    const all = new URLSearchParams(new FormData(form));
    for (const [name, value] of [...all]) if (value === "" || value === "0") all.delete(name, value);
    return all;
  };

  const ask = async () => {
    clearTimeout(rest);
    newer = true;
    if (asking) return;
    while (newer) {
      newer = false;
      const sent = fields();
      const long = sent.has("stock");
      asking = new AbortController();
      const slow = setTimeout(() => place.classList.add("stale"), 400);
      try {
        const to = long ? form.dataset.live : `${form.dataset.live}?${sent}`;
        const reply = await fetch(to, long ? { method: "POST", body: sent, signal: asking.signal } : { signal: asking.signal });
        if (!reply.ok || reply.redirected) throw new Error(reply.status);
        const parts = new DOMParser().parseFromString(await reply.text(), "text/html");
        if (!place.contains(document.activeElement) || !newer) place.replaceChildren(...parts.body.childNodes);
        if (!long) history.replaceState(history.state, "", `${location.pathname}?${sent}`);
        place.classList.remove("stale");
      } catch (error) {
        if (error.name !== "AbortError") place.classList.add("stale");
      }
      clearTimeout(slow);
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
