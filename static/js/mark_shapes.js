// The shapes of a mark while it is being placed, as the server draws them: a casing of paper, and the mark in it.

const SVG = "http://www.w3.org/2000/svg";
const STROKES = [["panel", 6.5], ["accent", 2.5]];

function shape(name, attributes, ink, wide) {
  const drawn = document.createElementNS(SVG, name);
  const all = { ...attributes, class: `picture-line-${ink}`, fill: "none", "stroke-width": wide };
  Object.entries(all).forEach(([key, value]) => drawn.setAttribute(key, value));
  return drawn;
}

function line(kind, [[x1, y1], [x2, y2]], ink) {
  const end = `url(#draft-${kind === "arrow" ? "tip" : "tick"}-${ink})`;
  const ends = kind === "arrow" ? { "marker-end": end } : { "marker-start": end, "marker-end": end };
  return { x1: `${x1 / 100}%`, y1: `${y1 / 100}%`, x2: `${x2 / 100}%`, y2: `${y2 / 100}%`, ...ends };
}

function ring([[x1, y1], [x2, y2]]) {
  return {
    cx: `${(x1 + x2) / 200}%`,
    cy: `${(y1 + y2) / 200}%`,
    rx: `${Math.abs(x2 - x1) / 200}%`,
    ry: `${Math.abs(y2 - y1) / 200}%`,
  };
}

/** The two strokes of one mark of that kind between `points`. */
export function shapeOf(kind, points) {
  return STROKES.map(([ink, wide]) =>
    kind === "ring" ? shape("ellipse", ring(points), ink, wide) : shape("line", line(kind, points, ink), ink, wide),
  );
}
