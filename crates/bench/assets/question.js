// Copying: the words of a field, or an address in full.
"use strict";
(() => {
  const copy = async (words, button) => {
    let done = true;
    try {
      await navigator.clipboard.writeText(words);
    } catch {
      done = false;
    }
    const status = button.parentElement.querySelector(".copied");
    status.textContent = done ? "copied" : "The browser does not let this page copy: select the text and copy it.";
    setTimeout(() => (status.textContent = ""), 5000);
  };

  document.addEventListener("click", (event) => {
    const button = event.target.closest?.("[data-copy], [data-copy-address]");
    if (!button) return;
    const address = button.dataset.copyAddress;
    copy(address ? new URL(address, location.href).href : document.getElementById(button.dataset.copy).value, button);
  });
})();

// The page of one question: each change asks the server for the parts that follow from it and swaps them in. Nothing is
// computed here; without this script the same form does the same by its buttons.
(() => {
  const page = document.querySelector(".question[data-live]");
  const form = document.getElementById("work");
  if (!page || !form) return;

  const byId = (id) => document.getElementById(id);
  const PARTS = ["drawing", "verdict", "cautions", "bar", "moves", "ride", "depth", "sure", "notes-of-sheet", "missing", "link"];
  const ROWS = ["rows", "or-rows"];
  const SLOW = 500; // ms after which waiting is shown
  const HANGING = 1500; // ms after which a newer state takes the place of a request without answer
  const REST = 600; // ms without a change after which the draft is saved
  const AGAIN = 4000; // ms after which something that failed is tried again
  const narrow = matchMedia("(max-width: 639px)");

  const text = () => JSON.stringify([byId("do").value, byId("or")?.value]);
  let saved = text();

  /* ---- Asking for the parts: one request at a time, the newest state wins. ---- */

  const pressed = []; // buttons that add, take out or mend a line: each is sent once, in order
  let newer = false; // something changed since the last request was sent
  let unsettled = false; // a row waits for the hand that holds it
  let asking = null;
  let turn = 0; // goes up when the lines come from somewhere else, so that an answer to the old ones is not heard
  const typed = new Set(); // fields with lines that were written in since the last request was sent

  const changed = () => {
    newer = true;
    ask();
  };

  const press = (name, value) => {
    pressed.push([name, value]);
    ask();
  };

  const query = (button) => {
    const fields = new URLSearchParams(new FormData(form));
    for (const add of ["add", "or-add"]) if (button?.[0] !== add) fields.delete(add);
    if (button) fields.set(...button);
    fields.set("width", narrow.matches ? "phone" : "desk");
    return fields;
  };

  const ask = async () => {
    if (asking) {
      if (!asking.button && performance.now() - asking.since > HANGING) asking.abort.abort();
      return;
    }
    if (!newer && !pressed.length) return;
    const button = pressed.shift();
    newer = false;
    asking = { abort: new AbortController(), since: performance.now(), button };
    const slow = setTimeout(() => (byId("slow").hidden = false), SLOW);
    const mine = turn;
    let failed = false;
    try {
      const fields = query(button);
      typed.clear();
      const reply = await fetch(`${page.dataset.live}?${fields}`, { signal: asking.abort.signal });
      if (!reply.ok || reply.redirected) throw new Error(reply.status);
      const parts = new DOMParser().parseFromString(await reply.text(), "text/html");
      if (mine === turn) follow(parts, button);
      page.classList.remove("stale");
    } catch (error) {
      failed = error.name !== "AbortError";
      newer = true;
      if (button) pressed.unshift(button);
    }
    clearTimeout(slow);
    byId("slow").hidden = true;
    asking = null;
    if (!failed) return ask();
    page.classList.add("stale");
    say("No answer from the program: the figures are not those of the changes. ", ask);
    setTimeout(ask, AGAIN);
  };

  /* ---- Swapping the parts in, without taking anything out of a hand. ---- */

  const shown = new Map();

  const follow = (reply, button) => {
    // Read before the parts move from the answer into the page.
    const address = reply.querySelector("#link a").getAttribute("href");
    for (const id of PARTS) {
      const [old, fresh] = [byId(id), reply.getElementById(id)];
      if (!old || !fresh || shown.get(id) === fresh.innerHTML || old.contains(document.activeElement)) continue;
      shown.set(id, fresh.innerHTML);
      old.replaceChildren(...fresh.childNodes);
    }
    for (const id of ROWS) {
      if (byId(id) && reply.getElementById(id)) followRows(byId(id), reply.getElementById(id), button);
    }
    for (const id of ["do", "or"]) {
      const [old, fresh] = [byId(id), reply.getElementById(id)];
      if (old && fresh && old !== document.activeElement && !typed.has(id)) old.value = fresh.value;
    }
    if (button?.[0].endsWith("add") && byId(button[0]).value === button[1]) byId(button[0]).value = "";
    untick();
    history.replaceState(history.state, "", address);
    speakLater(reply.getElementById("spoken").textContent);
    if (text() !== saved) saveLater();
  };

  // Rows that have the controls they had keep them; only their values and words change.
  const followRows = (list, fresh, button) => {
    const [old, now] = [list, fresh].map((rows) => [...rows.querySelectorAll("[data-row]")]);
    const alike = old.length === now.length && old.every((row, at) => row.dataset.row === now[at].dataset.row);
    const held = !button && list.contains(document.activeElement) && document.activeElement.matches("input, select");
    if (alike || (held && old.length === now.length)) {
      old.forEach((row, at) => followRow(row, now[at]));
      unsettled ||= !alike;
    } else if (held) {
      unsettled = true;
    } else {
      const at = old.findIndex((row) => row.contains(document.activeElement));
      list.replaceChildren(...fresh.childNodes);
      unsettled = false;
      // Who took a line out or mended it goes on from the same place.
      if (at >= 0) (list.querySelectorAll("[data-row]")[at]?.querySelector("input:not([type=hidden]), select") ?? byId(list.id.replace("rows", "add"))).focus();
    }
  };

  const followRow = (row, fresh) => {
    // What nobody has touched since the last answer is not newer than this one, whatever else is.
    const written = row.querySelector('input[type="number"], input.line, select');
    const before = row.querySelector('[type="hidden"][name*="was"]') ?? row.querySelector('[type="hidden"][name*="line"]');
    const touched = Boolean(written) && written.value !== before.value;
    const said = fresh.querySelectorAll("[data-said]");
    row.querySelectorAll("[data-said]").forEach((old, at) => {
      if (said[at] && old.innerHTML !== said[at].innerHTML) old.replaceChildren(...said[at].cloneNode(true).childNodes);
    });
    for (const field of row.querySelectorAll("input, select")) {
      const now = field.name
        ? fresh.querySelector(`[name="${CSS.escape(field.name)}"]`)
        : fresh.querySelector('input[type="range"]');
      if (!now || now.type !== field.type || field.value === now.value) continue;
      // What a hand holds, or has moved since the question was sent, is newer than the answer.
      const mine = field.type !== "hidden" && ((newer && touched) || row.contains(document.activeElement));
      if (!mine) field.value = now.value;
    }
  };

  /* ---- Saving the draft, a moment after the last change. ---- */

  const state = byId("saving");
  let saveTimer = 0;
  let saving = null;

  // Words in the status line; with something to do, a button that does it.
  const say = (words, again) => {
    if (!state) return;
    state.textContent = words;
    state.classList.toggle("trouble", Boolean(again));
    if (!again) return;
    const button = document.createElement("button");
    button.type = "button";
    button.className = "plain";
    button.textContent = "Try again";
    button.addEventListener("click", again);
    state.append(button);
  };

  const post = async (address, body) => {
    body.set("quiet", "1");
    const reply = await fetch(address, { method: "POST", body });
    if (!reply.ok || reply.redirected) throw new Error(reply.status);
    return reply.json();
  };

  const history_buttons = (kept) => {
    byId("undo").disabled = !kept.can_undo;
    byId("redo").disabled = !kept.can_redo;
  };

  const saveLater = () => {
    clearTimeout(saveTimer);
    saveTimer = setTimeout(save, REST);
  };

  const save = () => (saving ??= saveNow().finally(() => (saving = null)));

  const saveNow = async () => {
    clearTimeout(saveTimer);
    if (!page.dataset.save || text() === saved) return;
    const sent = text();
    const body = new URLSearchParams({ do: byId("do").value });
    if (byId("or")) body.set("or", byId("or").value);
    say("saving…");
    try {
      history_buttons(await post(page.dataset.save, body));
      saved = sent;
      say("saved");
      if (text() !== saved) saveLater();
    } catch {
      say("not saved, kept here. ", save);
      saveTimer = setTimeout(save, AGAIN);
    }
  };

  const goBack = async (button) => {
    if (button.disabled) return;
    await save();
    try {
      const kept = await post(button.getAttribute("formaction"), new URLSearchParams());
      // A second way that comes or goes changes the page's plan.
      if ((kept.or === null) !== (byId("or") === null)) return leave(page.dataset.page);
      turn += 1;
      byId("do").value = kept.do;
      if (byId("or")) byId("or").value = kept.or;
      saved = text();
      history_buttons(kept);
      say("saved");
      document.activeElement?.blur?.();
      changed();
    } catch {
      say(`${button.textContent} did not work. `, () => goBack(button));
    }
  };

  let leaving = false;
  const leave = (address) => {
    leaving = true;
    location.assign(address);
  };

  let edited = false;
  for (const guarded of document.querySelectorAll("form[data-guard]")) {
    guarded.addEventListener("input", () => (edited = true));
  }
  document.addEventListener("submit", (event) => (leaving = !event.defaultPrevented));
  addEventListener("beforeunload", (event) => {
    const unsaved = page.dataset.save && (asking || newer || pressed.length > 0 || text() !== saved);
    if (!leaving && (unsaved || edited)) event.preventDefault();
  });

  /* ---- What the hand does. ---- */

  form.addEventListener("input", (event) => {
    const field = event.target;
    if (field.matches('input[type="range"], [name$="add"]')) return;
    // A line on its way to two lines, or to none, is left alone until it is finished.
    if (field.matches("input.line") && (field.value.trim() === "" || field.value.includes(";"))) return;
    if (field.matches("textarea")) typed.add(field.id);
    changed();
  });
  form.addEventListener("change", (event) => event.target.matches("input.line") && changed());
  form.addEventListener("focusout", () => setTimeout(() => unsettled && !form.matches(":active") && changed()));

  form.addEventListener("submit", (event) => {
    const button = event.submitter;
    const adds = document.activeElement?.matches('[name$="add"]') ? document.activeElement.name : null;
    if (button?.name === "instead" || (button?.hasAttribute("formaction") && !["undo", "redo"].includes(button.id))) return;
    event.preventDefault();
    if (button?.hasAttribute("formaction")) goBack(button);
    else if (button?.name === "remove" || button?.name === "repair") press(button.name, button.value);
    else if (button?.dataset.add !== undefined) add(`${button.dataset.add}add`);
    else if (adds) add(adds);
    else changed();
  });

  const add = (name) => byId(name).value.trim() && press(name, byId(name).value);

  document.addEventListener("keydown", (event) => {
    if (!(event.ctrlKey || event.metaKey) || event.altKey || event.key.toLowerCase() !== "z") return;
    const writes = event.target.closest('input:not([type="range"], [type="checkbox"]), textarea, select, [contenteditable]');
    const button = byId(event.shiftKey ? "redo" : "undo");
    if (writes || !button) return;
    event.preventDefault();
    goBack(button);
  });

  narrow.addEventListener("change", changed);

  /* ---- Said aloud once the changes rest. ---- */

  let speakTimer = 0;
  const speakLater = (words) => {
    clearTimeout(speakTimer);
    speakTimer = setTimeout(() => byId("spoken").textContent !== words && (byId("spoken").textContent = words), 900);
  };

  /* ---- The message to the rider, and copying. ---- */

  const known = new Set(); // facts that are not to be asked for

  const untick = () => {
    const message = byId("message");
    if (!message) return;
    let words = message.dataset.message;
    for (const box of document.querySelectorAll("[data-fact]")) {
      box.checked = !known.has(box.dataset.fact);
      if (!box.checked) words = words.replace(`\n${box.dataset.fact}\n`, "");
    }
    message.value = words;
  };

  document.addEventListener("change", (event) => {
    const fact = event.target.dataset?.fact;
    if (fact === undefined) return;
    if (event.target.checked) known.delete(fact);
    else known.add(fact);
    untick();
  });
})();
