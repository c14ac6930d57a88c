// What every page gains from a script: things that need one are shown, and ages stay true while the page is open.
"use strict";
(() => {
  document.documentElement.classList.add("js");

  const units = [
    [365 * 86400, "year"],
    [30 * 86400, "month"],
    [86400, "day"],
    [3600, "hour"],
    [60, "minute"],
  ];

  // The same words as the server's.
  const age = (seconds) => {
    const fit = units.find(([unit]) => seconds >= unit);
    if (!fit) return "just now";
    const count = Math.floor(seconds / fit[0]);
    return `${count} ${fit[1]}${count === 1 ? "" : "s"} ago`;
  };

  const refresh = () => {
    for (const time of document.querySelectorAll("time[data-ago]")) {
      const at = Date.parse(time.dateTime);
      if (Number.isNaN(at)) continue;
      const words = age((Date.now() - at) / 1000);
      if (time.textContent !== words) time.textContent = words;
    }
  };

  refresh();
  setInterval(refresh, 30000);
  document.addEventListener("visibilitychange", () => document.hidden || refresh());

  // A list of faults at the head of a form is what to read first.
  document.querySelector(".fault-summary")?.focus();
})();
