/** A dot plot: one dot for each answer, the label's serving as a pointer, the middle answer as a notch. */

const SVG = "http://www.w3.org/2000/svg";
/** The picture's own units: its width, the size of a dot, and room at the edges. */
const [WIDTH, DOT, EDGE] = [320, 11, 12];
/** Room beyond the largest number, so that nothing touches the end. */
const ROOM = 1.06;

/**
 * Return the plot. Screen readers pass over it: its words stand beside it.
 *
 * @param {{values: number[], median: number | null}} told
 * @param {number | null} mark Where the label's serving stands.
 */
export function dotPlot({ values, median }, mark) {
  const most = Math.max(...values, mark ?? 0) * ROOM || 1;
  const at = (value) => EDGE + (value / most) * (WIDTH - 2 * EDGE);
  const columns = new Map();
  const dots = values.map((value) => {
    const column = Math.round(at(value) / DOT);
    const [x, level] = columns.get(column) ?? [at(value), 0]; // near ones stand upon the first of them
    columns.set(column, [x, level + 1]);
    return [x, level];
  });
  const levels = [...columns.values()].map(([, level]) => level);
  const height = (Math.max(1, ...levels) + 1) * DOT + 14;
  const ground = height - 14;
  const svg = make("svg", { class: "dots", viewBox: `0 0 ${WIDTH} ${height}`, "aria-hidden": "true" });
  svg.append(make("line", { class: "dots-ground", x1: EDGE, x2: WIDTH - EDGE, y1: ground, y2: ground }));
  for (const [x, level] of dots)
    svg.append(make("circle", { class: "dot", cx: x, cy: ground - DOT * (level + 0.6), r: DOT * 0.42 }));
  if (median !== null) svg.append(make("line", { class: "dots-middle", x1: at(median), x2: at(median), y1: 2, y2: ground }));
  if (mark !== null) {
    const x = at(mark);
    svg.append(make("path", { class: "dots-mark", d: `M${x} ${ground + 2}l6 10h-12z` }));
  }
  return svg;
}

function make(tag, attributes) {
  const element = document.createElementNS(SVG, tag);
  for (const [name, value] of Object.entries(attributes)) element.setAttribute(name, value);
  return element;
}
