// Drawing on a photo: a circle or a measure by dragging, as a line in the field that the form sends.
"use strict";
(() => {
  const board = document.getElementById("board");
  const svg = board?.querySelector("svg");
  const field = document.getElementById("marks");
  if (!svg || !field) return;
  const words = document.getElementById("mark-words");
  const tools = { circle: document.getElementById("draw-circle"), measure: document.getElementById("draw-measure") };
  let tool = "circle";
  let from = null;

  const lines = () => field.value.split("\n").filter((line) => line.trim() !== "");
  const keep = (all) => {
    field.value = all.join("\n");
    draw();
  };
  const round = (value) => Math.round(Math.min(100, Math.max(0, value)) * 10) / 10;
  const place = (event) => {
    const box = svg.getBoundingClientRect();
    return [((event.clientX - box.left) / box.width) * 100, ((event.clientY - box.top) / box.height) * 100];
  };
  const wide = svg.viewBox.baseVal.width;
  const tall = svg.viewBox.baseVal.height;

  const mark = (a, b) => {
    if (tool === "measure") return `measure ${[...a, ...b].map(round).join(" ")}`;
    // The radius counts in hundredths of the width.
    const radius = Math.hypot(b[0] - a[0], ((b[1] - a[1]) * tall) / wide);
    return `circle ${round(a[0])} ${round(a[1])} ${round(Math.max(radius, 1.5))}`;
  };

  const make = (name, attributes, text) => {
    const element = document.createElementNS("http://www.w3.org/2000/svg", name);
    for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value);
    if (text !== undefined) element.textContent = text;
    svg.append(element);
  };

  // The same shapes as the server's; what it cannot read is told when the form is sent.
  const draw = (more) => {
    for (const old of svg.querySelectorAll(":scope > :not(image)")) old.remove();
    const all = more ? [...lines(), more] : lines();
    all.forEach((line, index) => {
      const [kind, ...rest] = line.trim().split(/\s+/);
      const n = rest.map((text) => Number.parseFloat(text.replace(",", ".")));
      let path;
      let at;
      if (kind === "circle" && n.slice(0, 3).every(Number.isFinite)) {
        const [x, y, r] = [(n[0] / 100) * wide, (n[1] / 100) * tall, (n[2] / 100) * wide];
        path = `M${x - r} ${y}a${r} ${r} 0 1 0 ${2 * r} 0a${r} ${r} 0 1 0 ${-2 * r} 0z`;
        at = [x + r * 0.7071, y - r * 0.7071];
      } else if (kind === "measure" && n.slice(0, 4).every(Number.isFinite)) {
        const [x1, y1, x2, y2] = [n[0], n[1], n[2], n[3]].map((value, i) => (value / 100) * (i % 2 ? tall : wide));
        const long = Math.max(Math.hypot(x2 - x1, y2 - y1), 1);
        const [tx, ty] = [(-(y2 - y1) / long) * 14, ((x2 - x1) / long) * 14];
        path = `M${x1} ${y1}L${x2} ${y2}M${x1 - tx} ${y1 - ty}L${x1 + tx} ${y1 + ty}M${x2 - tx} ${y2 - ty}L${x2 + tx} ${y2 + ty}`;
        at = [(x1 + x2) / 2, (y1 + y2) / 2];
      } else return;
      const inside = (value, most) => Math.min(Math.max(value, 22), Math.max(most - 22, 22));
      make("path", { class: "casing", d: path });
      make("path", { class: "line", d: path });
      make("circle", { class: "number", cx: inside(at[0], wide), cy: inside(at[1], tall), r: 20 });
      make("text", { class: "number", x: inside(at[0], wide), y: inside(at[1], tall), dy: ".35em" }, index + 1);
    });
  };

  for (const [name, button] of Object.entries(tools)) {
    button.addEventListener("click", () => {
      tool = name;
      for (const [other, each] of Object.entries(tools)) each.setAttribute("aria-pressed", String(other === name));
    });
  }
  document.getElementById("draw-undo").addEventListener("click", () => keep(lines().slice(0, -1)));
  field.addEventListener("input", () => draw());
  words.addEventListener("input", () => {
    const all = lines();
    const last = all.at(-1)?.trim().split(/\s+/);
    if (!last) return;
    const count = last[0] === "measure" ? 5 : 4;
    all[all.length - 1] = [...last.slice(0, count), words.value].join(" ").trim();
    keep(all);
  });

  svg.addEventListener("pointerdown", (event) => {
    from = place(event);
    svg.setPointerCapture(event.pointerId);
    event.preventDefault();
  });
  svg.addEventListener("pointermove", (event) => {
    if (from) draw(mark(from, place(event)));
  });
  svg.addEventListener("pointerup", (event) => {
    if (!from) return;
    const to = place(event);
    const line = mark(from, to);
    const moved = Math.hypot(to[0] - from[0], to[1] - from[1]) > 0.5;
    from = null;
    if (!moved && tool === "measure") return draw();
    words.value = "";
    keep([...lines(), line]);
    words.focus({ preventScroll: true });
  });
  svg.addEventListener("pointercancel", () => {
    from = null;
    draw();
  });
})();
