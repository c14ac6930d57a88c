// The rear suspension through its travel: a slider moves the bike, its linkage and a mark on every chart, and the
// linkage's points are handles. Where everything is at each position came with the answer; between two positions a thing is
// drawn between its two places. A point that is moved changes its lines, and the page asks for the answer as for any line.
"use strict";
(() => {
  const byId = (id) => document.getElementById(id);
  const [slider, layer, ride] = ["travel", "handles", "ride"].map(byId);
  if (!slider) return;

  const ROUND = 5000; // ms from full extension to full travel and back
  const AXES = ["forward", "up"];
  const SVG = "http://www.w3.org/2000/svg";
  const still = matchMedia("(prefers-reduced-motion: reduce)");

  let ways = []; // each way's part of the page, its lines, and what its drawing moves by
  let place = 0; // where the slider stands, counted in positions
  let sags = false; // it stands at sag, wherever that is after the next change
  const last = () => Number(slider.max);

  /* ---- Reading off between two positions. ---- */

  const between = (list, at) => {
    const low = Math.min(Math.floor(at), list.length - 1);
    const [a, b, share] = [list[low], list[Math.min(low + 1, list.length - 1)], at - low];
    if (a == null || (b == null && share > 0)) return null;
    return Array.isArray(a) ? a.map((value, index) => value + (b[index] - value) * share) : a + (b - a) * share;
  };

  // A turn stays one: its cosine and sine are of length 1.
  const turned = (moves, at) => {
    const [cos, sin, x, y] = between(moves, at);
    const length = Math.hypot(cos, sin);
    return [cos / length, sin / length, x, y];
  };
  const moved = ([cos, sin, x, y], [px, py]) => [cos * px - sin * py + x, sin * px + cos * py + y];
  const matrix = ([cos, sin, x, y]) => `matrix(${cos} ${sin} ${-sin} ${cos} ${x} ${y})`;

  const figure = (value, decimals, unit) => {
    if (value == null) return "?";
    const digits = value.toFixed(decimals).replace(/^-(?=[0.]*$)/, "").replace("-", "−");
    return digits + (["", "°", "%"].includes(unit) ? unit : `\u00a0${unit}`);
  };

  /* ---- Drawing a place. ---- */

  const drawBike = ({ whole, motion, bodies }) => {
    const at = bodies.map((moves) => turned(moves, place));
    const each = (selector, draw) => whole.querySelectorAll(selector).forEach(draw);
    const axle = between(motion.axle, place);
    each("[data-frame]", (group) => group.setAttribute("transform", matrix(turned(motion.standing, place))));
    each("[data-axle]", (group) => group.setAttribute("transform", matrix([1, 0, ...axle])));
    const [way, start] = [axle, motion.axle[0]].map(([x, y]) => Math.atan2(y, x));
    const turn = way - start;
    each("[data-arm]", (group) => group.setAttribute("transform", matrix([Math.cos(turn), Math.sin(turn), 0, 0])));
    if (!bodies.length) return;
    each("[data-body]", (group) => group.setAttribute("transform", matrix(at[group.dataset.body])));
    const eyes = motion.eyes.map((eye) => moved(at[eye.body], eye.at));
    const [x, y] = [eyes[1][0] - eyes[0][0], eyes[1][1] - eyes[0][1]];
    const along = [x / Math.hypot(x, y), y / Math.hypot(x, y)];
    each("[data-shock]", (group) => {
      group.setAttribute("transform", matrix([...along, ...eyes[group.dataset.shock === "rod" ? 1 : 0]]));
    });
    each("[data-chain]", (group) => {
      const runs = motion.chain?.[group.dataset.chain];
      if (runs) group.querySelector("path").setAttribute("d", chainAt(runs));
    });
  };

  const chainAt = (runs) => {
    const [low, high] = [runs[Math.floor(place)], runs[Math.ceil(place)]];
    const share = place - Math.floor(place);
    const points = low.map((point, index) => (high[index] ? between([point, high[index]], share) : point));
    return points.map(([x, y], index) => `${index % 2 ? "L" : "M"}${x} ${y}`).join("");
  };

  const drawn = (name, attributes) => {
    const element = document.createElementNS(SVG, name);
    for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value);
    return element;
  };

  // An upright line and a dot on each curve, and the figure there in the chart's upper right corner.
  const mark = (chart) => {
    const { top, foot } = chart.dataset;
    const group = drawn("g", { class: "at" });
    group.append(
      drawn("line", { y1: top, y2: foot }),
      drawn("circle", { r: 3.5 }),
      drawn("text", { x: 398, y: 14, "text-anchor": "end", class: "kd-b kd-s13" }),
    );
    chart.after(group);
    const [values, xs, ys] = ["values", "x", "y"].map((list) => JSON.parse(chart.dataset[list]));
    return { group, values, xs, ys, decimals: Number(chart.dataset.decimals), unit: chart.dataset.unit };
  };

  const drawMark = ({ group, values, xs, ys, decimals, unit }) => {
    const [line, dot, text] = group.children;
    const [x, y, value] = [xs, ys, values].map((list) => between(list, place));
    line.setAttribute("x1", x ?? 0);
    line.setAttribute("x2", x ?? 0);
    dot.setAttribute("cx", x ?? 0);
    dot.setAttribute("cy", y ?? 0);
    dot.toggleAttribute("hidden", y == null);
    text.textContent = figure(value, decimals, unit);
  };

  const readOut = (whole, motion) => {
    const list = document.createElement("dl");
    list.className = "readout";
    for (const { label } of motion.shown.slice(1)) {
      const row = document.createElement("div");
      row.append(document.createElement("dt"), document.createElement("dd"));
      row.firstChild.textContent = label;
      list.append(row);
    }
    whole.querySelector(".seen").append(list);
    return list;
  };

  const drawReadOut = ({ list, motion }) => {
    motion.shown.slice(1).forEach(({ values, decimals, unit }, index) => {
      list.children[index].lastChild.textContent = figure(between(values, place), decimals, unit);
    });
  };

  // "62 mm of 150, at sag"
  const words = ({ motion }) => {
    const { values, decimals, unit } = motion.shown[0];
    const most = values[values.length - 1];
    const near = (other) => other != null && Math.abs(place - other) < 0.06;
    const station = near(0) ? ", full extension" : near(last()) ? ", full travel" : near(motion.sag) ? ", at sag" : "";
    return `${figure(between(values, place), decimals, unit)} of ${figure(most, decimals, "")}${station}`;
  };

  const draw = () => {
    if (!ways.length) return;
    for (const way of ways) {
      drawBike(way);
      way.marks.forEach(drawMark);
      drawReadOut(way);
    }
    slider.value = place;
    const said = words(ways[0]);
    slider.setAttribute("aria-valuetext", said);
    byId("travel-said").textContent = said;
    layHandles();
  };

  /* ---- A new answer. ---- */

  const read = () => {
    ways = [...ride.querySelectorAll(".travel")].map((section) => {
      const motion = JSON.parse(section.dataset.travel);
      const everywhere = motion.bodies.length === motion.count && motion.count > 0;
      const whole = section.closest("[data-lines]");
      const { lines, name } = whole.dataset;
      return {
        section,
        whole,
        motion,
        // One list per body rather than per position.
        bodies: everywhere ? motion.bodies[0].map((_, body) => motion.bodies.map((at) => at[body])) : [],
        // A name that would part its line in two cannot be said.
        points: motion.points.filter((point) => !/[;\n]/.test(point.name)),
        lines: byId(lines),
        name,
        list: whole.querySelector(".readout") ?? readOut(whole, motion),
        marks: [...section.querySelectorAll("g.chart")].map(mark),
      };
    });
    if (!ways.length) return;
    slider.max = ways[0].motion.count - 1;
    const { sag } = ways[0].motion;
    byId("travel-sag").disabled = sag == null;
    place = sags && sag != null ? sag : Math.min(place, last());
    draw();
  };

  // Of a change that cannot be computed there is no drawing. The one before stays, so that a hand finds back.
  const swapped = (changes) => {
    ride.classList.remove("past");
    if (!ride.querySelector(".travel")) {
      const gone = changes.flatMap(({ removedNodes }) => [...removedNodes]);
      const kept = gone.filter((node) => node.querySelector?.(".travel"));
      if (kept.length && ride.children.length) {
        kept.forEach((node) => node.querySelectorAll("g.at").forEach((group) => group.remove()));
        ride.append(...kept);
        ride.classList.add("past");
      }
    }
    read();
    watch.takeRecords();
  };
  const watch = new MutationObserver(swapped);

  /* ---- The slider and its buttons. ---- */

  const go = (where, atSag = false) => {
    [place, sags] = [Math.min(Math.max(where, 0), last()), atSag];
    draw();
  };

  slider.addEventListener("input", () => {
    stop();
    go(Number(slider.value));
  });
  // A key goes to the next position; the pointer goes between them.
  slider.addEventListener("keydown", (event) => {
    const way = { ArrowRight: 1, ArrowUp: 1, ArrowLeft: -1, ArrowDown: -1 }[event.key];
    if (!way || event.ctrlKey || event.altKey || event.metaKey) return;
    event.preventDefault();
    stop();
    go(way > 0 ? Math.floor(place + 1.001) : Math.ceil(place - 1.001));
  });

  byId("travel-sag").addEventListener("click", () => {
    stop();
    go(ways[0].motion.sag, true);
  });

  let running = 0;
  const button = byId("travel-run");
  const stop = () => {
    cancelAnimationFrame(running);
    running = 0;
    button.textContent = "Go through the travel";
  };
  const run = () => {
    const start = performance.now();
    const frame = (now) => {
      const share = Math.max(now - start, 0) / ROUND;
      go(share < 1 ? ((1 - Math.cos(share * 2 * Math.PI)) / 2) * last() : 0);
      if (share < 1) running = requestAnimationFrame(frame);
      else stop();
    };
    running = requestAnimationFrame(frame);
    button.textContent = "Stop";
  };
  button.addEventListener("click", () => {
    if (running) return stop();
    if (!still.matches) return run();
    // Nothing moves by itself: full extension, sag and full travel, one at a press.
    const stations = [0, ways[0].motion.sag, last()].filter((station) => station != null);
    go(stations.find((station) => station > place + 0.06) ?? 0);
  });

  /* ---- Lines that move a point. ---- */

  const plain = (text) => text.toLowerCase().replace(/[-_]/g, " ").trim().replace(/\s+/g, " ");
  const LINE = /^\s*(point\s.*(?:forward|up))\s+by\s*([^±]*?)\s*((?:±|\+-).*)?$/i;
  const linesOf = (way) => way.lines.value.split(/[;\n]/).map((line) => line.trim()).filter(Boolean);
  const about = (line) => plain(line.match(LINE)?.[1] ?? "");

  // How far a line moves its point, mm: as the program has read it, or as it was written here.
  const amount = (way, line) => {
    const prefix = way.lines.id === "or" ? "or-line" : "line";
    for (const shown of document.querySelectorAll(`#work input[type="hidden"][name^="${prefix}"]`)) {
      const field = shown.value === line && byId(shown.name.replace("line", "v"));
      if (field && field.value !== "") return Number(field.value);
    }
    return Number(line.match(LINE)[2].replace(/\s*mm$/, "")) || 0;
  };

  const amounts = ({ way, point }) => {
    const lines = linesOf(way);
    return AXES.map((axis) => {
      const line = lines.find((line) => about(line) === plain(`point ${point.name} ${axis}`));
      return line ? amount(way, line) : 0;
    });
  };

  const write = (handle, wanted) => {
    const { way, point } = handle;
    const now = amounts(handle);
    const lines = linesOf(way);
    AXES.forEach((axis, index) => {
      if (wanted[index] === now[index]) return;
      const at = lines.findIndex((line) => about(line) === plain(`point ${point.name} ${axis}`));
      const tolerance = at >= 0 ? (lines[at].match(LINE)[3] ?? "") : "";
      const line = `point ${point.name} ${axis} by ${wanted[index]} ${tolerance}`.trim();
      lines.splice(at >= 0 ? at : lines.length, at >= 0 ? 1 : 0, ...(wanted[index] === 0 ? [] : [line]));
    });
    way.lines.value = lines.join("\n");
    name(handle);
    way.lines.dispatchEvent(new Event("input", { bubbles: true }));
  };

  /* ---- Points as handles. ---- */

  const handles = new Map();
  let held = null; // the handle in a hand, and where the hand took it

  const name = (handle) => {
    const { element, way, point } = handle;
    const [forward, up] = amounts(handle);
    const told = [
      way.name && `${way.name}: ${point.name}`,
      !way.name && point.name,
      `${Math.abs(forward)} mm ${forward < 0 ? "rearward" : "forward"}`,
      `${Math.abs(up)} mm ${up < 0 ? "down" : "up"}`,
    ];
    element.setAttribute("aria-label", told.filter(Boolean).join(", "));
  };

  const made = (key) => {
    const element = document.createElement("span");
    element.className = "handle";
    element.tabIndex = 0;
    // The arrow keys are for the page, also where a screen reader would keep them for itself.
    element.setAttribute("role", "application");
    element.setAttribute("aria-roledescription", "movable point");
    element.setAttribute("aria-describedby", "handles-hint");
    layer.append(element);
    handles.set(key, { element });
    return handles.get(key);
  };

  // The drawing that is seen, of the two sizes.
  const shownGroup = (way) =>
    [...way.section.querySelectorAll("g.linkage")].find((group) => group.ownerSVGElement.getClientRects().length);

  const layHandles = () => {
    const box = layer.getBoundingClientRect();
    const kept = new Set();
    for (const way of ways) {
      const group = shownGroup(way);
      const map = group?.getScreenCTM();
      for (const point of map && way.bodies.length ? way.points : []) {
        const key = `${way.lines.id} ${point.name}`;
        const handle = handles.get(key) ?? made(key);
        kept.add(key);
        Object.assign(handle, { way, point, map });
        name(handle);
        if (held?.handle === handle) continue;
        const at = moved(turned(way.bodies[point.body], place), point.at);
        const seen = new DOMPoint(...at).matrixTransform(map);
        handle.element.style.left = `${seen.x - box.left}px`;
        handle.element.style.top = `${seen.y - box.top}px`;
      }
    }
    for (const [key, { element }] of handles) {
      if (kept.has(key) || held?.handle.element === element) continue;
      element.remove();
      handles.delete(key);
    }
    byId("handles-hint").hidden = !handles.size;
  };

  // Of handles that lie over each other the nearest is meant.
  const nearest = (event) => {
    const far = ({ element }) => {
      const box = element.getBoundingClientRect();
      return Math.hypot(event.clientX - box.x - box.width / 2, event.clientY - box.y - box.height / 2);
    };
    return [...handles.values()].sort((a, b) => far(a) - far(b))[0];
  };

  layer.addEventListener("pointerdown", (event) => {
    if (event.button !== 0 || held || !event.target.closest(".handle")) return;
    event.preventDefault();
    stop();
    const handle = nearest(event);
    const { element, way, point, map } = handle;
    element.focus({ preventScroll: true });
    element.setPointerCapture(event.pointerId);
    element.classList.add("held");
    held = {
      handle,
      from: [event.clientX, event.clientY],
      left: parseFloat(element.style.left),
      top: parseFloat(element.style.top),
      start: amounts(handle),
      // The scale of the drawing that the hand saw, however the next one is laid out.
      inverse: map.inverse(),
      turn: turned(way.bodies[point.body], place),
    };
  });

  layer.addEventListener("pointermove", (event) => {
    if (!held) return;
    const { handle, from, left, top, start, inverse, turn } = held;
    const [dx, dy] = [event.clientX - from[0], event.clientY - from[1]];
    handle.element.style.left = `${left + dx}px`;
    handle.element.style.top = `${top + dy}px`;
    const [x, y] = [inverse.a * dx + inverse.c * dy, inverse.b * dx + inverse.d * dy];
    // Back from where the part is now to where it was drawn.
    const [cos, sin] = turn;
    const wanted = [cos * x + sin * y, cos * y - sin * x].map((by, index) => (by ? Math.round(start[index] + by) : start[index]));
    if (amounts(handle).some((now, index) => now !== wanted[index])) write(handle, wanted);
  });

  const letGo = () => {
    held?.handle.element.classList.remove("held");
    held = null;
    layHandles();
  };
  layer.addEventListener("lostpointercapture", letGo);

  layer.addEventListener("keydown", (event) => {
    const handle = [...handles.values()].find(({ element }) => element === event.target);
    if (!handle || event.ctrlKey || event.altKey || event.metaKey) return;
    if (event.key === "Escape" && held) {
      write(handle, held.start);
      return letGo();
    }
    const way = { ArrowRight: [1, 0], ArrowLeft: [-1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] }[event.key];
    if (!way || held) return;
    event.preventDefault();
    const step = event.shiftKey ? 5 : 1;
    write(handle, amounts(handle).map((now, index) => now + step * way[index]));
  });

  // What lies above may grow, and so may the window.
  const size = new ResizeObserver(() => layHandles());
  [ride, ride.parentElement].forEach((element) => size.observe(element));
  watch.observe(ride, { childList: true });
  read();
})();
