// Curves of a fork under a tuner's sliders: as found, as advised, with the numbers tried; red where a leg is solid.
const DASH = { found: [], engines: [2, 5], chosen: [12, 5] };
const WIDTH = { found: 2, engines: 1.5, chosen: 3.5 };
const NAMES = ["found", "engines", "chosen"];

function colour(name) {
  return getComputedStyle(document.documentElement).getPropertyValue(name).trim();
}

export class Curves {
  constructor(box) {
    this.box = box;
    this.plot = null;
    this.shown = null;
    new ResizeObserver(() => this.fit()).observe(box);
    window.matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => this.again());
  }

  show(shown, label) {
    if (!shown || typeof uPlot === "undefined") return;
    const before = this.shown;
    this.shown = shown;
    this.box.setAttribute("role", "img");
    this.box.setAttribute("aria-label", label);
    if (!this.plot || before.stroke_mm.length !== shown.stroke_mm.length) this.again();
    else this.plot.setData(this.data());
  }

  data() {
    return [this.shown.stroke_mm, ...NAMES.map((name) => this.shown.forces[name] || this.shown.stroke_mm.map(() => null))];
  }

  size() {
    const width = Math.max(240, Math.floor(this.box.clientWidth));
    return { width, height: Math.round(Math.min(380, Math.max(220, width * 0.5))) };
  }

  fit() {
    if (this.plot && this.plot.width !== this.size().width) this.plot.setSize(this.size());
  }

  again() {
    if (!this.shown) return;
    const ink = colour("--ink"), rule = colour("--rule");
    this.plot?.destroy();
    this.box.replaceChildren();
    const axis = { stroke: ink, grid: { stroke: rule, width: 1 }, ticks: { stroke: ink, width: 1 }, font: "13px sans-serif",
      labelFont: "13px sans-serif", labelSize: 22 };
    this.plot = new uPlot({
      ...this.size(), legend: { show: false }, cursor: { show: false },
      scales: { x: { time: false, range: () => [0, this.shown.stroke_mm.at(-1)] }, y: { range: () => [0, this.shown.top_n] } },
      axes: [{ ...axis, label: "stroke, mm" }, { ...axis, size: 56, label: "force, N" }],
      series: [{}, ...NAMES.map((name) => ({ stroke: ink, width: WIDTH[name], dash: DASH[name], points: { show: false } }))],
      hooks: { draw: [(plot) => this.marks(plot, ink)] },
    }, this.data(), this.box);
  }

  marks(plot, ink) {
    const { ctx, bbox } = plot, ratio = devicePixelRatio;
    ctx.save();
    ctx.font = `${13 * ratio}px sans-serif`;
    if (this.shown.brake_n) {
      const y = plot.valToPos(this.shown.brake_n, "y", true);
      this.line(ctx, [bbox.left, y], [bbox.left + bbox.width, y], ink, ratio, [4, 4]);
      ctx.fillStyle = ink;
      ctx.textAlign = "left";
      ctx.fillText("hard braking", bbox.left + 6 * ratio, y - 5 * ratio);
    }
    const stop = colour("--stop-text") || colour("--stop");
    this.shown.locks.forEach((lock, place) => {
      const x = plot.valToPos(lock.at_mm, "x", true);
      this.line(ctx, [x, bbox.top], [x, bbox.top + bbox.height], stop, 3 * ratio, lock.set === "chosen" ? [8, 4] : []);
      ctx.fillStyle = stop;
      ctx.font = `bold ${13 * ratio}px sans-serif`;
      const words = `solid at ${Math.round(lock.at_mm)} mm`, gap = 6 * ratio;
      const beyond = x + gap + ctx.measureText(words).width < bbox.left + bbox.width; // no curve goes past a lock
      ctx.textAlign = beyond ? "left" : "right";
      ctx.fillText(words, beyond ? x + gap : x - gap, bbox.top + (16 + 18 * place) * ratio);
    });
    ctx.restore();
  }

  line(ctx, from, to, stroke, width, dash) {
    ctx.beginPath();
    ctx.strokeStyle = stroke;
    ctx.lineWidth = width;
    ctx.setLineDash(dash.map((part) => part * devicePixelRatio));
    ctx.moveTo(...from);
    ctx.lineTo(...to);
    ctx.stroke();
  }
}
