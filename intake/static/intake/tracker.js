// Following one mark through pictures.  Pure: numbers in, numbers out, no page.
//
// A patch is {data, width, height, left, top}: RGBA bytes and where its corner lies in the whole picture.
// The mark's colour against what is around it gives one number for each pixel: 0 as around it, 1 as the mark.  The
// mark is found again where its surroundings look most alike (normalised cross-correlation, which bright or dim light
// does not change) and then placed to a part of a pixel: by the middle of its colour where it is a blob, by the top of
// a parabola through the likeness where it is a pattern.

export const HALF = 15;          // half side of the piece of picture that is looked for
const LEAST_CONTRAST = 26;       // of 441: mark against surroundings, over all three colours
const LEAST_LIGHT = 26;          // of 255: brightest tenth of the surroundings
export const LEAST_LIKENESS = 0.55;
const ALSO_LIKE = 0.93;          // likeness of a second place at which one could be mistaken for the other
const CORE = 2;                  // half side of the spot whose colour is taken
const BLOB = 0.35;               // pixels above this count as the mark
const PLAIN = 0.03;              // deviation of a piece that has nothing to hold on to
const LIGHT = {axis: [0.299 / 255, 0.587 / 255, 0.114 / 255], around: [0, 0, 0]};

// Learns the mark around (x, y).  Returns the mark, or {problem: "dark" | "alike" | "edge"}.
export function learn(patch, x, y) {
  const reach = 2 * HALF;
  if (!holds(patch, x, y, HALF + 1)) return {problem: "edge"};
  if (brightest(patch) < LEAST_LIGHT) return {problem: "dark"};
  const inside = mean(patch, x, y, 0, CORE);
  const around = farColour(patch, x, y, inside, reach);
  const axis = inside.map((value, i) => value - around[i]);
  const length = Math.hypot(...axis), coloured = length >= LEAST_CONTRAST;
  // No colour of its own: it may still be a pattern of light and dark.
  const mark = coloured ? {axis: axis.map((value) => value / length ** 2), around} : {...LIGHT};
  const grey = project(mark, patch);
  const centre = coloured ? middleOfBlob(grey, x, y) : null;
  mark.blob = centre !== null;
  mark.x = centre ? centre.x : x;
  mark.y = centre ? centre.y : y;
  mark.weight = centre ? centre.weight : 0;
  const cx = Math.round(mark.x), cy = Math.round(mark.y);
  if (!holds(patch, cx, cy, HALF + 1)) return {problem: "edge"};
  mark.piece = cut(grey, cx, cy);
  mark.dx = mark.x - cx;
  mark.dy = mark.y - cy;
  const least = coloured ? PLAIN : 3 * PLAIN;
  return mark.piece.deviation < least || twin(mark, grey, cx, cy) ? {problem: "alike"} : mark;
}

// Finds the mark in a patch.  Returns {x, y, likeness}, or null where nothing is like it.
export function find(mark, patch) {
  const grey = project(mark, patch);
  const best = mostAlike(mark.piece, grey);
  if (!best || best.likeness < LEAST_LIKENESS) return null;
  let x = best.x + mark.dx, y = best.y + mark.dy;
  if (mark.blob) {
    const centre = middleOfBlob(grey, x, y);
    if (centre && Math.abs(centre.weight / mark.weight - 1) < 0.4) ({x, y} = centre);
  }
  return {x: x + grey.left, y: y + grey.top, likeness: best.likeness};
}

// A piece of the background, to see whether the camera moved; null where there is nothing to hold on to.
export function anchor(patch) {
  const mark = {...LIGHT, blob: false, dx: 0, dy: 0};
  const grey = project(mark, patch);
  const cx = patch.width >> 1, cy = patch.height >> 1;
  mark.piece = cut(grey, cx, cy);
  if (mark.piece.deviation < PLAIN || twin(mark, grey, cx, cy)) return null;
  mark.x = cx + patch.left;
  mark.y = cy + patch.top;
  return mark;
}

function holds(patch, x, y, margin) {
  return x >= margin && y >= margin && x < patch.width - margin && y < patch.height - margin;
}

function brightest(patch) {
  const light = [];
  for (let i = 0; i < patch.data.length; i += 4) light.push(Math.max(patch.data[i], patch.data[i + 1], patch.data[i + 2]));
  light.sort((a, b) => a - b);
  return light[Math.floor(light.length * 0.9)];
}

// Mean colour of the ring from ``inner`` to ``outer`` (half sides) around a place.
function mean(patch, x, y, inner, outer) {
  const sum = [0, 0, 0];
  let count = 0;
  for (let row = Math.max(y - outer, 0); row <= Math.min(y + outer, patch.height - 1); row++) {
    for (let col = Math.max(x - outer, 0); col <= Math.min(x + outer, patch.width - 1); col++) {
      if (Math.max(Math.abs(row - y), Math.abs(col - x)) < inner) continue;
      const at = 4 * (row * patch.width + col);
      for (let i = 0; i < 3; i++) sum[i] += patch.data[at + i];
      count++;
    }
  }
  return sum.map((value) => value / count);
}

// The colour around the mark: the ring, without what looks like the mark itself (a tape can be longer than the ring).
function farColour(patch, x, y, inside, reach) {
  const first = mean(patch, x, y, HALF, reach);
  const sum = [0, 0, 0];
  let count = 0;
  for (let row = Math.max(y - HALF, 0); row <= Math.min(y + HALF, patch.height - 1); row++) {
    for (let col = Math.max(x - HALF, 0); col <= Math.min(x + HALF, patch.width - 1); col++) {
      const at = 4 * (row * patch.width + col);
      const pixel = [patch.data[at], patch.data[at + 1], patch.data[at + 2]];
      if (apart(pixel, inside) <= apart(pixel, first)) continue;
      for (let i = 0; i < 3; i++) sum[i] += pixel[i];
      count++;
    }
  }
  return count > 60 ? sum.map((value) => value / count) : first;
}

function apart(one, other) {
  return Math.hypot(one[0] - other[0], one[1] - other[1], one[2] - other[2]);
}

// One number for each pixel: how far along from the surroundings' colour to the mark's.
function project(mark, patch) {
  const {data, width, height} = patch, [r, g, b] = mark.axis;
  const zero = r * mark.around[0] + g * mark.around[1] + b * mark.around[2];
  const values = new Float32Array(width * height);
  for (let i = 0, at = 0; i < values.length; i++, at += 4) {
    values[i] = Math.min(Math.max(r * data[at] + g * data[at + 1] + b * data[at + 2] - zero, -0.5), 1.5);
  }
  return {values, width, height, left: patch.left, top: patch.top};
}

function cut(grey, cx, cy) {
  const side = 2 * HALF + 1, values = new Float32Array(side * side);
  let sum = 0, power = 0;
  for (let row = 0; row < side; row++) {
    for (let col = 0; col < side; col++) {
      const value = grey.values[(cy - HALF + row) * grey.width + cx - HALF + col];
      values[row * side + col] = value;
      sum += value;
    }
  }
  for (let i = 0; i < values.length; i++) {
    values[i] -= sum / values.length;
    power += values[i] ** 2;
  }
  return {values, power, deviation: Math.sqrt(power / values.length)};
}

// Likeness, -1 to 1, of the piece and the picture around (cx, cy).
function likeness(piece, grey, cx, cy) {
  const side = 2 * HALF + 1, {values, width} = grey;
  let sum = 0, squares = 0, cross = 0;
  for (let row = 0, i = 0; row < side; row++) {
    let at = (cy - HALF + row) * width + cx - HALF;
    for (let col = 0; col < side; col++, at++, i++) {
      const value = values[at];
      sum += value;
      squares += value * value;
      cross += value * piece.values[i];
    }
  }
  const power = squares - sum * sum / (side * side);
  return power > 1e-4 ? cross / Math.sqrt(power * piece.power) : 0;
}

// Every second pixel first, then each around the best, then the top of the parabola.
function mostAlike(piece, grey) {
  const last = {x: grey.width - HALF - 1, y: grey.height - HALF - 1};
  if (last.x < HALF || last.y < HALF) return null;
  let best = {likeness: -2, x: 0, y: 0};
  const look = (x, y) => {
    const value = likeness(piece, grey, x, y);
    if (value > best.likeness) best = {likeness: value, x, y};
    return value;
  };
  for (let y = HALF; y <= last.y; y += 2) for (let x = HALF; x <= last.x; x += 2) look(x, y);
  const {x: x0, y: y0} = best;
  for (let y = Math.max(y0 - 1, HALF); y <= Math.min(y0 + 1, last.y); y++) {
    for (let x = Math.max(x0 - 1, HALF); x <= Math.min(x0 + 1, last.x); x++) look(x, y);
  }
  const {x, y} = best;
  const at = (px, py) => (px < HALF || py < HALF || px > last.x || py > last.y ? null : likeness(piece, grey, px, py));
  return {likeness: best.likeness, x: x + top(at(x - 1, y), best.likeness, at(x + 1, y)),
          y: y + top(at(x, y - 1), best.likeness, at(x, y + 1))};
}

function top(before, here, after) {
  if (before === null || after === null) return 0;
  const bend = before - 2 * here + after;
  return bend < -1e-9 ? Math.min(Math.max((before - after) / (2 * bend), -0.5), 0.5) : 0;
}

// Whether another place nearby is so like the piece that it could be taken for it.
function twin(mark, grey, cx, cy) {
  for (let y = HALF; y < grey.height - HALF; y += 2) {
    for (let x = HALF; x < grey.width - HALF; x += 2) {
      if (Math.max(Math.abs(x - cx), Math.abs(y - cy)) < 0.6 * HALF) continue;
      if (likeness(mark.piece, grey, x, y) > ALSO_LIKE) return true;
    }
  }
  return false;
}

// The middle of the colour around (x, y), settled in a few steps; null where the colour runs out of the window.
function middleOfBlob(grey, x, y) {
  let found = null;
  for (let step = 0; step < 4; step++) {
    found = weighed(grey, Math.round(x), Math.round(y));
    if (!found) return null;
    ({x, y} = found);
  }
  return found.rim < 0.08 * found.weight ? found : null;
}

function weighed(grey, cx, cy) {
  let weight = 0, sx = 0, sy = 0, rim = 0;
  for (let row = Math.max(cy - HALF, 0); row <= Math.min(cy + HALF, grey.height - 1); row++) {
    for (let col = Math.max(cx - HALF, 0); col <= Math.min(cx + HALF, grey.width - 1); col++) {
      const value = Math.min(grey.values[row * grey.width + col], 1);
      if (value < BLOB) continue;
      weight += value;
      sx += value * col;
      sy += value * row;
      if (Math.max(Math.abs(row - cy), Math.abs(col - cx)) >= HALF - 1) rim += value;
    }
  }
  return weight > 6 ? {x: sx / weight, y: sy / weight, weight, rim} : null;
}
