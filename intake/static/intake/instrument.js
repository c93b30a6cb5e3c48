// What all instruments share: their words, their parts, and the way into the plain field.

// Sets up every instrument of a name on the page.
export function mount(name, make) {
  for (const root of document.querySelectorAll(`[data-instrument="${name}"]`)) {
    if (root.dataset.mounted) continue;
    root.dataset.mounted = "yes";
    make(root, parts(root), sayer(root));
  }
}

function parts(root) {
  const found = {};
  for (const part of root.querySelectorAll("[data-role]")) found[part.dataset.role] ??= part;
  return found;
}

// say("lost", {picture: 12}) gives the sentence that the page brought along, its slots filled.
function sayer(root) {
  const words = {};
  for (const word of root.querySelectorAll("[data-words] > [data-word]")) words[word.dataset.word] = word.textContent;
  return (name, slots = {}) => words[name].replace(/\{(\w+)\}/g, (slot, key) => slots[key] ?? slot);
}

export function number(value, digits) {
  return new Intl.NumberFormat(document.documentElement.lang || "en",
    {minimumFractionDigits: digits, maximumFractionDigits: digits, useGrouping: false}).format(value);
}

// Types readings into the field an instrument belongs to, in its unit, as measured.  Where the page has no place for
// each of them, their mean goes into the one place.
export function type(root, readings, digits) {
  const first = document.getElementById(root.dataset.field), {form, name} = first;
  const fields = [first];
  while (form.elements[`${name}~${fields.length + 1}`]) fields.push(form.elements[`${name}~${fields.length + 1}`]);
  const mean = readings.reduce((sum, one) => sum + one, 0) / readings.length;
  const each = readings.length > fields.length ? [mean] : readings;
  fields.forEach((field, i) => fill(field, i < each.length ? each[i].toFixed(digits) : ""));
  pick(form.elements[`${name}~unit`], root.dataset.unit);
  pick(form.elements[`${name}~known`], "measured");
}

// Fills a field as typing would.
export function fill(field, text) {
  field.value = text;
  field.dispatchEvent(new Event("input", {bubbles: true}));
  field.dispatchEvent(new Event("change", {bubbles: true}));
}

function pick(list, value) {
  if (list?.options && [...list.options].some((option) => option.value === value)) list.value = value;
}

// Calls at the very press, by thumb or key, not at the release.
export function onPress(button, act) {
  button.addEventListener("pointerdown", (event) => {
    if (event.button === 0) act(event.timeStamp);
  });
  button.addEventListener("keydown", (event) => {
    if (!event.repeat && (event.key === " " || event.key === "Enter")) act(event.timeStamp);
  });
  button.addEventListener("click", (event) => {  // pressed by a screen reader or by voice: neither pointer nor key
    if (event.detail === 0 && !heldByKey(button)) act(event.timeStamp);
  });
}

const keyed = new WeakMap();
document.addEventListener("keydown", (event) => keyed.set(event.target, event.timeStamp), true);
document.addEventListener("keyup", (event) => keyed.set(event.target, event.timeStamp), true);

// Whether a click comes from a key that has been counted already.
function heldByKey(button) {
  return performance.now() - (keyed.get(button) ?? -Infinity) < 500;
}
