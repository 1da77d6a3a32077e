// The refrigerator that all scenes share: a cutaway to scale, from the side, in pixels of a stage of its own size.

const INK = "#1b2530";
const STEEL = "#5b6874";
const WELL = "#13212f"; // the air space is dark, so that the air is the brightest thing in the picture

// A stage of the size that all scenes have; `scale` is its pixels to a metre, `front` and `floor` where the cabinet is.
function makeStage(scale, floor, front) {
  const x = (metres) => front + metres * scale;
  const y = (height) => floor - height * scale;
  return { width: 690, height: 596, scale, floor, front, depth: 0.62, x, y };
}
const STAGE = makeStage(276, 570, 54);

const tag = (name, attributes, content = "") => {
  const written = Object.entries(attributes).map(([key, value]) => ` ${key}="${value}"`);
  return `<${name}${written.join("")}>${content}</${name}>`;
};
const px = (value) => value.toFixed(1);
const rect = (x, y, width, height, more = {}) =>
  tag("rect", { x: px(x), y: px(y), width: px(Math.max(width, 0)), height: px(Math.max(height, 0)), ...more });
const path = (d, more = {}) => tag("path", { d, fill: "none", stroke: INK, ...more });
const letters = (x, y, content, more = {}) => tag("text", { x: px(x), y: px(y), ...more }, content);

// Cabinet, food and evaporators; `n` has the model's numbers, `back` is the cabinet's back [m]. `put` draws what
// stands in it, `ajar` is how far the door stands off [px].
function drawnCabinet(n, back, stage = STAGE, put = drawnFood, ajar = 0) {
  const { x, y, floor } = stage;
  const [left, right, top] = [x(0), x(back), y(n.side_height)];
  const height = floor - top;
  const freezer = { top: top + 14, bottom: top + height * 0.3 };
  const food = { top: freezer.bottom + 14, bottom: floor - 14 };
  const [inner, behind] = [left + 16, right - 14];
  const warmth = clamp((n.food - 274) / 14, 0, 1);
  const inside = `rgb(${[222, 236, 246].map((cold, k) => Math.round(mix(cold, [248, 226, 206][k], warmth))).join()})`;
  const shelves = [food.top + (food.bottom - food.top) * 0.42, food.top + (food.bottom - food.top) * 0.7];
  const line = { stroke: STEEL, "stroke-width": 1.8 };
  const parts = [
    rect(left, top, right - left, height, { rx: 5, fill: "#f1e6c9", ...line }),
    rect(left - 6 - ajar, top + 3, 20, height - 6, { rx: 4, fill: "#dfe4e8", ...line }),
    rect(left - 14 - ajar, food.top + 20, 6, 64, { rx: 3, fill: STEEL }),
    rect(left - 14 - ajar, freezer.top + 24, 6, 44, { rx: 3, fill: STEEL }),
    rect(inner, freezer.top, behind - inner, freezer.bottom - freezer.top, { rx: 3, fill: "#e3eff8" }),
    rect(inner, food.top, behind - inner, food.bottom - food.top, { rx: 3, fill: inside }),
    ...shelves.map((shelf) => path(`M${inner} ${px(shelf)}H${behind - 2}`, { stroke: "#8795a1", "stroke-width": 2.5 })),
    put(inner, shelves, food.bottom),
    drawnCoils(behind, right, freezer, food),
  ];
  return { drawn: parts.join(""), freezer, food, inner, behind, shelves };
}

function drawnFood(left, [upper, lower], bottom) {
  const on = { stroke: STEEL, "stroke-width": 1.2 };
  return [
    path(`M${left + 84} ${px(upper)}v-36l7-10h14l7 10v36z`, { ...on, fill: "#ffffff" }), // the milk
    rect(left + 84, upper - 26, 28, 12, { fill: "#9fc3e0" }),
    tag("circle", { cx: left + 24, cy: px(lower - 12), r: 12, fill: "#c8553d", ...on }),
    tag("circle", { cx: left + 48, cy: px(lower - 10), r: 10, fill: "#d9784b", ...on }),
    path(`M${left + 10} ${px(bottom - 3)}q0-30 30-32q32 0 32 32z`, { ...on, fill: "#8fae6b" }),
    rect(left + 92, bottom - 44, 20, 42, { rx: 6, fill: "#7f9f9a", ...on }),
  ].join("");
}

function drawnCoils(behind, back, freezer, food) {
  const tube = { stroke: "#31627f", "stroke-width": 4, "stroke-linecap": "round", "stroke-linejoin": "round" };
  const [one, other] = [freezer.bottom - 40, food.top + 12];
  const cold = `M${back + 6} ${px(one)}H${behind - 4}v11h-40v11h40v11h-34`;
  const mild = `M${behind - 8} ${px(freezer.bottom - 7)}V${px(other)}v12h-22v12h22v12h-22v12h22v12H${back + 5}`;
  const fins = [0, 1, 2, 3, 4].map((k) => `M${behind - 33 + k * 6} ${px(other + 4)}v46`).join("");
  return path(cold, tube) + path(mild, tube) + path(fins, { stroke: "#6f97ae", "stroke-width": 2 });
}

// The sealed unit in the air space, at the cabinet's back; where its parts are, for labels that name them.
function drawnUnit(n, back, stage = STAGE, runs = true) {
  const { x, y, scale } = stage;
  const at = x(back);
  const high = n.fins;
  const heights = { rectifier: high - 0.08, pump: high * 0.72, absorber: high * 0.56, boiler: high * 0.34, vessel: high * 0.2 };
  const turns = Array.from({ length: 8 }, (_, k) => `${k % 2 ? `H${at + 5}` : `H${at + 14}`}v${px((high * 0.42 * scale) / 8)}`);
  const pipe = { stroke: "#9aa9b5", "stroke-width": 3, "stroke-linejoin": "round" };
  const drawn = [
    path(`M${at + 5} ${px(y(high * 0.72))}${turns.join("")}`, { ...pipe, stroke: "#8fb2c4", "stroke-width": 3.4 }),
    path(`M${at + 20} ${px(y(high * 0.46))}V${px(y(high - 0.03))}`, pipe),
    rect(at + 2, y(high * 0.26), 13, high * 0.1 * scale, { rx: 6, fill: "#6f8798", stroke: "#c9d5dd", "stroke-width": 1.2 }),
    rect(at + 16, y(high * 0.46), 8, high * 0.3 * scale, { rx: 3, fill: "#7b6a58", stroke: "#d8c6b0", "stroke-width": 1 }),
    rect(at + 18.4, y(high * 0.4), 3.4, high * 0.22 * scale, { rx: 1.7, fill: runs ? "#ff8a3c" : "#5a4b3d" }),
    rect(at + 16, y(high - 0.04), 8, 0.07 * scale, { rx: 2, fill: "#566675", stroke: "#9aa9b5", "stroke-width": 1 }),
  ];
  return { drawn: drawn.join(""), heights };
}

const LINE = 20; // px from one line of text to the next

// Labels in a column, pushed apart so that none touches another; each may point to what it names. A line of a
// label is a text, or a text and its attributes.
function labelColumn(labels, x, from, to) {
  const sorted = [...labels].sort((one, other) => one.y - other.y);
  const high = ({ lines }) => lines.length * LINE + 2;
  sorted.forEach((label, k) => {
    label.put = Math.max(label.y, k ? sorted[k - 1].put + high(sorted[k - 1]) : from);
  });
  for (let k = sorted.length - 1; k >= 0; k -= 1) {
    sorted[k].put = Math.min(sorted[k].put, (k < sorted.length - 1 ? sorted[k + 1].put : to) - high(sorted[k]));
  }
  return sorted
    .map(({ y, put, point, lines }) => {
      const leader =
        point === undefined
          ? ""
          : path(`M${px(point)} ${px(y)}L${px(x - 16)} ${px(put)}H${px(x - 3)}`, { stroke: "#8795a1", "stroke-width": 1 }) +
            tag("circle", { cx: px(point), cy: px(y), r: 2.4, fill: "#ffffff", stroke: INK });
      const written = lines.map((line, k) => {
        const [text, more] = Array.isArray(line) ? line : [line, {}];
        return letters(x, put + 5.5 + k * LINE, text, { class: "halo", ...more });
      });
      return leader + written.join("");
    })
    .join("");
}
