// A curve over time as SVG, in the page's own ink.

const BOX = {left: 44, top: 26, right: 348, bottom: 180};

export function draw(svg, pairs, words) {
  const end = pairs.at(-1)[0], highest = Math.max(...pairs.map(([, mm]) => mm));
  const x = (s) => BOX.left + s / end * (BOX.right - BOX.left);
  const y = (mm) => BOX.bottom - mm / highest * (BOX.bottom - BOX.top);
  svg.setAttribute("aria-label", words.label);
  svg.replaceChildren(
    ...ticks(end, 5).flatMap((s) => [
      line(x(s), BOX.top, x(s), BOX.bottom, "rule"), text(x(s), BOX.bottom + 16, words.number(s), "middle")]),
    ...ticks(highest, 4).flatMap((mm) => [
      line(BOX.left, y(mm), BOX.right, y(mm), "rule"), text(BOX.left - 6, y(mm) + 4, words.number(mm), "end")]),
    text(BOX.left, 14, words.height, "start"), text(BOX.right, BOX.bottom + 34, words.time, "end"),
    make("polyline", {points: pairs.map(([s, mm]) => `${x(s).toFixed(1)},${y(mm).toFixed(1)}`).join(" "), class: "curve"}),
  );
}

// Round numbers from 0 to ``end``, about ``count`` of them.
export function ticks(end, count) {
  const raw = end / count, ten = 10 ** Math.floor(Math.log10(raw));
  const by = [1, 2, 5, 10].map((step) => step * ten).find((step) => step >= raw);
  return Array.from({length: Math.floor(end / by + 1e-9) + 1}, (_, i) => Number((i * by).toPrecision(6)));
}

const line = (x1, y1, x2, y2, kind) => make("line", {x1, y1, x2, y2, class: kind});
const text = (x, y, words, anchor) => make("text", {x, y, "text-anchor": anchor}, words);

function make(name, attributes, words = "") {
  const node = document.createElementNS("http://www.w3.org/2000/svg", name);
  for (const [key, value] of Object.entries(attributes)) node.setAttribute(key, value);
  node.textContent = words;
  return node;
}
