// From a film of the bounce to a list of seconds and millimetres, on the phone alone.

import {Cross} from "./cross.js";
import {moved, start, step} from "./follower.js";
import {draw as drawGraph} from "./graph.js";
import {fill, mount, number} from "./instrument.js";
import {close, each, open, reader, show} from "./pictures.js";
import {alongMotion, asText, picturesPerSecond, realTimes, thinned, unfit} from "./trace.js";

const LONGEST = 12;              // s of real time: a bounce is over in three
const MOST_PICTURES = 3000;
const USUAL_RATE = 30;           // pictures a second that a slowed film plays at
const SHORTEST = 40;             // pixels of known length
const PANES = ["finding", "marking", "scaling", "following", "result", "failed"];
const ASKS = ["mark", "end1", "end2"];

mount("clip", (root, part, say) => {
  if (!window.URL?.createObjectURL || !part.picture.getContext) return;
  let clip = null, begin = 0, run = null, pairs = null, opened = 0;
  const cross = new Cross(part.picture, part.loupe, tellWhere, choose);
  root.hidden = false;

  function pane(name, word, slots) {
    for (const one of PANES) part[one].hidden = one !== name;
    part.says.textContent = say(word, slots);
  }

  part.file.addEventListener("change", async () => {
    const file = part.file.files[0], mine = ++opened;
    stop();
    if (clip) close(clip);
    clip = null;
    part.stage.hidden = !file;
    if (!file) return;
    pane("", "opening");
    try {
      const found = await open(file);
      if (mine !== opened) return close(found);
      clip = found;
      await find(0);
    } catch { pane("failed", "unreadable"); }
  });

  // First the picture to begin with,

  async function find(at) {
    stop();
    cross.set = [];
    begin = await show(clip, at);
    cross.show(clip.canvas, false);
    part.at.value = 1000 * begin / clip.length;
    pane("finding", "find");
  }

  let sought = null, seeking = false;
  async function seek(seconds) {  // a slider asks faster than a film can be sought: only the newest wish counts
    sought = seconds;
    if (seeking) return;
    seeking = true;
    while (sought !== null) {
      const wish = sought;
      sought = null;
      begin = await show(clip, wish).catch(() => begin);
      cross.show(clip.canvas, false);
    }
    seeking = false;
    part.at.value = 1000 * begin / clip.length;
  }
  part.at.addEventListener("input", () => seek(part.at.value / 1000 * clip.length));
  part.back.addEventListener("click", () => seek(begin - 1 / USUAL_RATE));
  part.on.addEventListener("click", () => seek(begin + 1.05 / USUAL_RATE));
  part.here.addEventListener("click", () => {
    cross.show(clip.canvas, true);
    pane("marking", "mark");
    part.picture.focus();
  });

  // then the tape and the known length,

  function tellWhere({x, y}) {
    part.where.textContent = say("where", {across: Math.round(100 * x / clip.size.width),
      down: Math.round(100 * y / clip.size.height)});
  }

  function choose() {
    if (cross.set.length === 0) {
      const found = start(reader(clip), clip.size, cross.x, cross.y);
      if (found.problem) return void (part.says.textContent = say(found.problem));
    }
    if (cross.set.length === 2 && apart(cross.set[1], cross) < SHORTEST) {
      return void (part.says.textContent = say("near"));
    }
    cross.set.push({x: cross.x, y: cross.y});
    const ask = ASKS[cross.set.length];
    cross.show(clip.canvas, Boolean(ask));
    if (ask) return pane("marking", ask);
    pane("scaling", "scale");
    part.length.focus();
  }
  part.set.addEventListener("click", choose);
  for (const button of root.querySelectorAll('[data-role="anew"]')) {
    button.addEventListener("click", () => (clip ? find(begin) : part.file.focus()));
  }

  // then every picture to the end,

  part.length.addEventListener("keydown", (event) => {
    if (event.key !== "Enter") return;
    event.preventDefault();  // it would send the form
    part.follow.click();
  });
  part.follow.addEventListener("click", async () => {
    const length = Number(part.length.value.trim().replace(",", ".")) * Number(part.unit.value);
    if (!(length > 0)) {
      part.says.textContent = say("length");
      return part.length.focus();
    }
    const scale = length / apart(cross.set[1], cross.set[2]), mine = run = {times: [], slow: slowness(), ended: false};
    pane("following", "follows");
    await show(clip, begin);
    const follower = start(reader(clip), clip.size, cross.set[0].x, cross.set[0].y);
    if (follower.problem) return pane("failed", follower.problem);
    mine.times.push(begin);
    await each(clip, (time) => take(mine, follower, time), slowRate()).catch(() => {});
    if (run !== mine) return;
    run = null;
    judge(mine, follower, scale);
  });
  part.enough.addEventListener("click", () => { if (run) run.ended = true; });

  function take(mine, follower, time) {
    if (run !== mine || mine.ended) return false;
    if (time <= mine.last || time <= mine.times[0]) return true;
    const found = step(follower, reader(clip));
    mine.last = time;
    if (found?.problem) {
      mine.problem = found.problem;
      return false;
    }
    if (found) mine.times.push(time);
    cross.follow(found);
    part.progress.value = (time - begin) / Math.max(Math.min(clip.length - begin, LONGEST * mine.slow), 1e-3);
    return time - begin < LONGEST * mine.slow && mine.times.length < MOST_PICTURES;
  }

  function stop() { run = null; }

  // How many times slower it plays, as far as one can tell before its pictures are counted; and the rate to seek by.
  function slowness() { return Math.max(Number(part.rate.value) / USUAL_RATE, 1); }
  function slowRate() { return Number(part.rate.value) ? USUAL_RATE : 60; }

  // and last the curve, for the rider to judge.

  function judge(mine, follower, scale) {
    if (mine.problem === "lost") {
      const picture = Math.round(mine.last * picturesPerSecond(mine.times)) + 1;
      return pane("failed", "lost", {picture, seconds: number(mine.last, 2)});
    }
    if (mine.problem || moved(follower.points)) return pane("failed", mine.problem ?? "camera");
    const real = realTimes(mine.times, Number(part.rate.value));
    if (real.problem) return pane("failed", real.problem, {held: real.held});
    const mm = alongMotion(follower.points, scale), problem = unfit(follower.points, mm, scale);
    if (problem) return pane("failed", problem, {count: follower.points.length});
    pairs = thinned(real.times, mm);
    const seen = {count: mine.times.length, seconds: number(real.times.at(-1), 1), mm: number(Math.max(...mm), 0)};
    drawGraph(part.graph, pairs, {label: say("sees", seen), time: say("time"), height: say("height"),
      number: (value) => number(value, value % 1 ? 1 : 0)});
    pane("result", "sees", seen);
    part.use.focus({preventScroll: true});
    part.result.scrollIntoView({block: "nearest"});
  }
  part.use.addEventListener("click", () => {
    fill(document.getElementById(root.dataset.field), asText(pairs));
    part.says.textContent = say("used");
    part.says.scrollIntoView({block: "nearest"});
  });
});

function apart(one, other) {
  return Math.hypot(one.x - other.x, one.y - other.y);
}
