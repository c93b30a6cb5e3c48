// Angles from the phone's own position.  Pure.

const DEGREE = Math.PI / 180;

// How far the phone's long edge points above level, in degrees, from the two tilts that the browser gives.
export function pitch(beta) {
  return Math.asin(Math.sin(beta * DEGREE)) / DEGREE;
}

// The angle asked for, from the pitch along the part and the pitch on the floor.
export function reading(along, floor, reads) {
  const raised = along - floor;
  return reads === "from upright" ? 90 - Math.abs(raised) : -raised;
}

// The middle and the range of readings.
export function settled(values) {
  const sorted = [...values].sort((a, b) => a - b);
  return {middle: sorted[sorted.length >> 1], range: sorted.at(-1) - sorted[0]};
}
