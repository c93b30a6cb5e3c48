// One mark followed from picture to picture, and the camera's own movement taken off it.  Pure: ``read`` gives patches.

import {HALF, anchor, find, learn} from "./tracker.js";

const PATIENCE = 3;              // pictures in a row in which the mark may be hidden
const FURTHEST = 70;             // pixels that are searched around the last place when nothing is found nearby
const ANCHOR_REACH = 10;
const STILL = 0.8;               // pixels an anchor may seem to move while the camera stands still
const AGREE = 1.5;
const PLACES = [[0.06, 0.08], [0.35, 0.05], [0.65, 0.05], [0.94, 0.08], [0.05, 0.4], [0.95, 0.4],
                [0.06, 0.7], [0.94, 0.7], [0.08, 0.94], [0.35, 0.95], [0.65, 0.95], [0.92, 0.94]];

// Starts at (x, y) of the first picture.  Returns {problem} or a follower.
export function start(read, size, x, y) {
  const patch = around(read, size, x, y, 2 * HALF + 12);
  const mark = learn(patch, Math.round(x - patch.left), Math.round(y - patch.top));
  if (mark.problem) return mark;
  const first = {x: mark.x + patch.left, y: mark.y + patch.top};
  const anchors = PLACES.map(([u, v]) => [u * size.width, v * size.height])
    .filter(([u, v]) => Math.hypot(u - first.x, v - first.y) > 4 * HALF)
    .map(([u, v]) => anchor(around(read, size, u, v, HALF + ANCHOR_REACH)))
    .filter(Boolean);
  return {mark, anchors, size, last: first, speed: {x: 0, y: 0}, missed: 0, shift: {x: 0, y: 0}, adrift: 0,
          points: [{...first, shift: {x: 0, y: 0}}]};
}

// Takes the next picture.  Returns the place, null where the mark is hidden, or {problem: "lost" | "camera"}.
export function step(follower, read) {
  if (!camera(follower, read)) return {problem: "camera"};
  const {mark, size, last, speed} = follower;
  const reach = HALF + 12 + Math.ceil(1.5 * Math.hypot(speed.x, speed.y));
  const found = find(mark, around(read, size, last.x + speed.x, last.y + speed.y, reach)) ||
    find(mark, around(read, size, last.x, last.y, HALF + FURTHEST));
  if (!found) return ++follower.missed > PATIENCE ? {problem: "lost"} : null;
  const pictures = follower.missed + 1;
  follower.speed = {x: (found.x - last.x) / pictures, y: (found.y - last.y) / pictures};
  follower.last = {x: found.x, y: found.y};
  follower.missed = 0;
  const point = {x: found.x - follower.shift.x, y: found.y - follower.shift.y, shift: follower.shift};
  follower.points.push(point);
  return {...found, point};
}

// Whether the picture as a whole moved about as far as the mark: then it cannot be told which of the two moved.
export function moved(points) {
  const camera = spread(points.map((p) => p.shift.x), points.map((p) => p.shift.y));
  const raw = spread(points.map((p) => p.x + p.shift.x), points.map((p) => p.y + p.shift.y));
  return camera > 4 && camera > 0.5 * raw;
}

function spread(xs, ys) {
  return Math.hypot(Math.max(...xs) - Math.min(...xs), Math.max(...ys) - Math.min(...ys));
}

// Sees how far the picture as a whole has shifted; false where the background is gone.
function camera(follower, read) {
  const {anchors, shift, size} = follower;
  if (anchors.length < 3) return true;
  const found = anchors.map((held) => {
    const place = find(held, around(read, size, held.x + shift.x, held.y + shift.y, HALF + ANCHOR_REACH));
    return place && {x: place.x - held.x, y: place.y - held.y};
  }).filter(Boolean);
  follower.adrift = found.length < anchors.length / 2 ? follower.adrift + 1 : 0;
  if (found.filter((by) => Math.hypot(by.x, by.y) < STILL).length >= 2) follower.shift = {x: 0, y: 0};
  else {
    const middle = {x: median(found.map((by) => by.x)), y: median(found.map((by) => by.y))};
    const agreed = found.filter((by) => Math.hypot(by.x - middle.x, by.y - middle.y) < AGREE);
    if (agreed.length >= 3 && agreed.length >= 0.6 * found.length) follower.shift = middle;
  }
  return follower.adrift <= PATIENCE;
}

function median(values) {
  const sorted = [...values].sort((a, b) => a - b);
  return sorted.length ? sorted[sorted.length >> 1] : 0;
}

function around(read, size, x, y, reach) {
  const left = Math.max(Math.round(x) - reach, 0), top = Math.max(Math.round(y) - reach, 0);
  const right = Math.min(Math.round(x) + reach + 1, size.width), bottom = Math.min(Math.round(y) + reach + 1, size.height);
  const width = Math.max(right - left, 1), height = Math.max(bottom - top, 1);
  return {...read(Math.min(left, size.width - width), Math.min(top, size.height - height), width, height)};
}
