// Sliders of a tuner's trial: each move asks the server's engine, and the newest answer wins.  Nothing is saved.
import { Curves } from "./try_plot.js";

const form = document.querySelector("[data-try]");
const PAUSE = 60; // ms without a move before the engine is asked: a finger that still moves would only be in the way
let asked = 0, timer = 0, waiting = null, advised = null, curves = null;

const fieldOf = (slider) => slider.querySelector("input[name]");
const rangeOf = (slider) => slider.querySelector("input[type=range]");
const numberOf = (field) => Number(field.value.replace(",", ".").replace("−", "-"));
const oilOf = (slider) => slider.closest("[data-oil]")?.dataset.oil;

function dress(slider) {
  const field = fieldOf(slider), range = rangeOf(slider);
  range.hidden = false;
  range.addEventListener("input", () => moved(slider, range.value));
  field.addEventListener("input", () => moved(slider, field.value, field));
  for (const words of slider.querySelectorAll("[data-back]")) {
    const back = document.createElement("button");
    back.type = "button";
    back.className = "plain";
    back.textContent = words.textContent;
    back.setAttribute("aria-label", `${slider.querySelector("label").textContent.trim()}: ${words.textContent.trim()}`);
    back.addEventListener("click", () => moved(slider, words.dataset.back));
    words.replaceWith(back);
  }
}

function put(slider, value, typedIn = null) {
  const field = fieldOf(slider);
  if (field !== typedIn) field.value = value;
  if (Number.isFinite(numberOf(field))) rangeOf(slider).value = numberOf(field);
}

function moved(slider, value, typedIn = null) {
  put(slider, value, typedIn);
  const oil = oilOf(slider);
  if (oil) {
    const pick = form.querySelector(`[name=oil_as][value=${oil}]`);
    if (pick) pick.checked = true;
    if (form.elements.together?.checked) {
      for (const twin of slider.parentElement.querySelectorAll("[data-slider]")) if (twin !== slider) put(twin, value);
    }
  }
  soon();
}

function soon() {
  clearTimeout(timer);
  timer = setTimeout(ask, PAUSE);
}

function typed() {
  const query = new URLSearchParams();
  for (const [name, value] of new FormData(form)) {
    if (!["csrfmiddlewaretoken", "reason", "revision"].includes(name)) query.append(name, value);
  }
  return query;
}

async function ask() {
  const mine = ++asked;
  waiting?.abort();
  waiting = new AbortController();
  try {
    const reply = await fetch(`${form.dataset.answer}&${typed()}`, { signal: waiting.signal, headers: { accept: "application/json" } });
    const answer = await reply.json();
    if (mine === asked) show(answer);
  } catch (problem) {
    if (problem.name !== "AbortError" && mine === asked) say(["No answer came. Move it again, or reload the page."], false);
  }
}

function show(answer) {
  if (answer.problem) return say([answer.problem, answer.mend], false);
  say(answer.against, true);
  const rows = answer.rows.map((cells) => {
    const row = document.createElement("tr");
    cells.forEach((words, place) => {
      const cell = document.createElement(place ? "td" : "th");
      if (!place) cell.scope = "row";
      cell.textContent = words;
      row.append(cell);
    });
    return row;
  });
  form.querySelector("[data-rows]").replaceChildren(...rows);
  draw(form.querySelector("[data-ruler]"), answer.ruler);
  fill(form.querySelector("[data-oil-words]"), answer.oil);
  follow(answer.numbers.chosen);
  if (answer.plot) {
    if (advised && answer.plot.forces.chosen) answer.plot.forces.engines = advised;
    curves.show(answer.plot, answer.rows.map(([title, found, own]) => `${title}: found ${found}, with these ${own}.`).join(" "));
  }
}

// The oil's other way of being said follows the one that was moved.
function follow(chosen) {
  const kept = form.elements.oil_as?.value;
  for (const slider of form.querySelectorAll("[data-oil] [data-slider]")) {
    const value = chosen?.[fieldOf(slider).name];
    if (oilOf(slider) !== kept && value !== null && value !== undefined) put(slider, value);
  }
}

function draw(box, svg) {
  box.replaceChildren(document.importNode(new DOMParser().parseFromString(svg, "image/svg+xml").documentElement, true));
}

function fill(list, sentences) {
  list?.replaceChildren(...sentences.map((words) => Object.assign(document.createElement("li"), { textContent: words })));
}

function say(sentences, letter) {
  const box = form.querySelector("[data-said]"), button = form.querySelector("[data-put]");
  if (button) button.disabled = sentences.length > 0;
  if (!sentences.length) return box.replaceChildren();
  const frame = Object.assign(document.createElement("div"), { className: "try-against" });
  const head = Object.assign(document.createElement("strong"), {
    textContent: letter ? "This cannot go into the letter." : "This cannot be worked out." });
  const list = document.createElement("ul");
  fill(list, sentences);
  frame.append(head, list);
  box.replaceChildren(frame);
}

async function begin() {
  curves = new Curves(form.querySelector("[data-plot]"));
  form.querySelectorAll("[data-slider]").forEach(dress);
  form.querySelectorAll("[name=oil_as], [name=together]").forEach((pick) => pick.addEventListener("change", soon));
  form.querySelector("[data-work-out]").hidden = true;
  try {
    const first = await (await fetch(form.dataset.answer, { headers: { accept: "application/json" } })).json();
    advised = first.plot?.forces.chosen ?? null;
    form.querySelector("[data-key-engines]").hidden = !advised;
  } catch {
    // The first answer with these numbers says what is wrong.
  }
  ask();
}

if (form) begin();
