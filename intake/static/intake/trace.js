// From followed points to seconds and millimetres.  Pure.

export const MOST_POINTS = 600;
const FEWEST = 30;               // the engine needs twenty points from the deepest one on
const LEAST_MOTION = 5;          // pixels: below it the motion is not more than the unsureness of the place

// Real seconds from the file's own times.  ``recorded``: pictures a second that the camera took; 0 where the clip plays
// at real speed.  A clip that plays slowed holds fewer pictures a second than were taken.
export function realTimes(times, recorded) {
  const held = picturesPerSecond(times);
  if (recorded && held > 1.15 * recorded) return {problem: "rate", held: Math.round(held)};
  const factor = recorded ? held / recorded : 1;
  return {times: times.map((time) => (time - times[0]) * factor), held, factor};
}

// Pictures a second in the file, pictures that were skipped allowed for.
export function picturesPerSecond(times) {
  const gaps = times.slice(1).map((time, i) => time - times[i]).filter((gap) => gap > 0).sort((a, b) => a - b);
  if (!gaps.length) return 0;
  const usual = gaps[Math.floor(gaps.length / 5)];
  let length = 0, count = 0;
  for (const gap of gaps) {
    const pictures = Math.round(gap / usual);
    if (pictures < 1 || pictures > 6) continue;
    length += gap;
    count += pictures;
  }
  return count / length;
}

// Millimetres along the line on which the mark moved, up is more; the lowest place is 0.
export function alongMotion(points, mmPerPixel) {
  const mx = mean(points.map((p) => p.x)), my = mean(points.map((p) => p.y));
  let xx = 0, xy = 0, yy = 0;
  for (const p of points) {
    xx += (p.x - mx) ** 2;
    xy += (p.x - mx) * (p.y - my);
    yy += (p.y - my) ** 2;
  }
  const angle = 0.5 * Math.atan2(2 * xy, xx - yy);
  let ux = Math.cos(angle), uy = Math.sin(angle);
  if (uy > 0 || (uy === 0 && ux < 0)) [ux, uy] = [-ux, -uy];
  const along = points.map((p) => ((p.x - mx) * ux + (p.y - my) * uy) * mmPerPixel);
  const low = Math.min(...along);
  return along.map((mm) => mm - low);
}

// Why the points make no bounce; "" where they may.
export function unfit(points, mm, mmPerPixel) {
  if (points.length < FEWEST) return "few";
  return Math.max(...mm) < LEAST_MOTION * mmPerPixel ? "still" : "";
}

// At most ``most`` pairs [seconds, mm], neighbours averaged.
export function thinned(times, mm, most = MOST_POINTS) {
  const by = Math.ceil(times.length / most), pairs = [];
  for (let i = 0; i < times.length; i += by) {
    pairs.push([mean(times.slice(i, i + by)), mean(mm.slice(i, i + by))]);
  }
  return pairs;
}

export function asText(pairs) {
  return pairs.map(([s, mm]) => `${s.toFixed(4)}; ${mm.toFixed(2)}`).join("\n");
}

function mean(values) {
  return values.reduce((sum, value) => sum + value, 0) / values.length;
}
