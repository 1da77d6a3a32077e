// The scene of module 02: a refrigerator in its enclosure, what can be grabbed there, and a close-up of the fins.

const LENS = { x: 456, y: 96, width: 226, height: 236, scale: 940 };
LENS.toX = (metres, g) => LENS.x + 10 + (metres - g.back) * LENS.scale;
LENS.toY = (height, n) => LENS.y + (n.fins_top + 0.02 - height) * LENS.scale;
STAGE.lens = LENS;
const LABELS = 328; // px; where the names of parts begin
const PLAN = { x: 486, y: 422, width: 44, height: 52, scale: 600 };
const METER = { x: 466, y: 540, width: 204 };
const VENT = 0.06; // m; foot of the lower vent, drawn
const CLOSED = "#e3d3a4";
const GRAB = "#5a3e9e";
const GOOD = "#00644a";
const BAD = "#a63a00";

function enclosureGeometry(n) {
  const back = STAGE.depth;
  const wall = back + n.fin_depth + n.rear_gap;
  const isRoof = n.outlet === "roof";
  const ceiling = isRoof ? Math.min(n.side_height + n.pocket_height, n.outlet_height - 0.04) : n.side_height + n.pocket_height;
  return {
    back,
    wall,
    edge: Math.min(back + n.fin_depth + n.baffle_gap, wall),
    ceiling,
    vent: VENT,
    ventOpen: n.lower_vent * (1 - n.lower_blocked),
    topOpen: n.pocket_open || n.top_gap > 0.001,
    middle: (back + wall) / 2,
  };
}

const drawnLouvres = (wall, high, low) =>
  path([0.2, 0.5, 0.8].map((part) => `M${px(wall)} ${px(mix(high, low, part) - 4)}l7 7`).join(""), { "stroke-width": 2 });

function drawnWalls(n, g) {
  const { x, y, floor, front } = STAGE;
  const [back, wall, roof] = [x(g.back), x(g.wall), y(g.ceiling)];
  const dark = { fill: INK };
  const thick = 9;
  const parts = [];
  if (n.outlet === "roof") {
    const half = (n.upper_vent * STAGE.scale) / 2;
    const [left, right, top] = [x(g.middle) - half, x(g.middle) + half, y(n.outlet_height)];
    parts.push(rect(left, top, right - left, roof - top + 1, { fill: WELL }));
    parts.push(rect(left - 6, top, 6, roof - top, dark), rect(right, top, 6, roof - top, dark));
    if (left > back + 1) parts.push(rect(back, roof - thick, left - back, thick, dark));
    if (right < wall) parts.push(rect(right, roof - thick, wall - right + 7, thick, dark));
    parts.push(path(`M${px(left - 22)} ${px(top - 12)}Q${px((left + right) / 2)} ${px(top - 26)} ${px(right + 22)} ${px(top - 12)}`, { "stroke-width": 6, "stroke-linecap": "round" }));
    parts.push(rect(right - (right - left) * n.upper_blocked, top - 4, (right - left) * n.upper_blocked, 8, { fill: BAD }));
    parts.push(rect(wall, roof - thick, 7, y(VENT + n.lower_vent) - roof + thick, dark));
  } else {
    const high = y(n.outlet_height + n.upper_vent / 2);
    const low = y(n.outlet_height - n.upper_vent / 2);
    parts.push(rect(back, roof - thick, wall - back + 7, thick, dark));
    parts.push(rect(wall, roof, 7, high - roof, dark), rect(wall, low, 7, y(VENT + n.lower_vent) - low, dark));
    parts.push(drawnLouvres(wall, high, low));
    parts.push(rect(wall, high, 7, (low - high) * n.upper_blocked, { fill: BAD }));
  }
  const [high, low] = [y(VENT + n.lower_vent), y(VENT)];
  parts.push(rect(wall, low, 7, floor - low, dark), drawnLouvres(wall, high, low));
  parts.push(rect(wall + 1, high, 7, (low - high) * n.lower_blocked, { fill: BAD }));
  parts.push(rect(0, floor, wall + 7, 7, dark), rect(0, roof - thick, back, thick, dark));
  parts.push(rect(front - 8, roof, 8, y(n.side_height) - roof, { fill: "#d9cfb8" }));
  return parts.join("");
}

function drawnTop(n, g) {
  const { x, y } = STAGE;
  const [left, right, roof, top] = [x(0), x(g.back), y(g.ceiling), y(n.side_height)];
  const gap = n.top_gap * STAGE.scale;
  const closed = Math.max(top - gap - roof, 0);
  if (n.pocket_open) return rect(left, roof, right - left, top - roof, { fill: WELL });
  return (
    rect(left, top - gap, right - left, gap, { fill: WELL }) +
    rect(left, roof, right - left, closed, { fill: CLOSED }) +
    rect(left, roof, right - left, closed, { fill: `url(#${g.id}-hatch)` }) +
    rect(right - 5, roof, 5, closed, { fill: "#8a7440" })
  );
}

function drawnFins(n, g, toX, toY, slats, thick) {
  const parts = [];
  const [low, high] = [toY(n.fins), toY(n.fins_top)];
  for (let k = 0; k < slats; k += 1) {
    const at = toX(g.back + 0.006 + ((n.fin_depth - 0.012) * k) / (slats - 1));
    parts.push(`M${px(at)} ${px(low)}V${px(high)}`);
  }
  const [from, to] = [toX(g.back), toX(g.back + n.fin_depth)];
  const tubes = [0.25, 0.75].map((part) => `M${px(from)} ${px(mix(low, high, part) + 3 * thick)}L${px(to)} ${px(mix(low, high, part) - 3 * thick)}`);
  return (
    path(parts.join(""), { stroke: "#c3ccd4", "stroke-width": thick }) +
    path(tubes.join(""), { stroke: "#dbe3ea", "stroke-width": thick * 3.2, opacity: 0.92 })
  );
}

function drawnBaffle(n, g, toX, toY, thick) {
  const ends = `M${px(toX(g.wall))} ${px(toY(n.fins - 0.07))}L${px(toX(g.edge))} ${px(toY(n.fins - 0.01))}`;
  if (n.baffle) return path(ends, { stroke: "#35c79a", "stroke-width": thick, "stroke-linecap": "round" });
  return path(ends, { stroke: "#35c79a", "stroke-width": thick / 2.5, "stroke-dasharray": "4 7", opacity: 0.6 });
}

function drawnFan(n, g) {
  if (n.fan === "none") return "";
  const { x, y } = STAGE;
  const [at, half] = [y(n.fins_top + 0.14), n.fan === "strong" ? 12 : 8];
  const blade = { rx: half, ry: 3.2, fill: "#ffffff", class: `warmside-blade warmside-${n.fan}` };
  return tag("ellipse", { cx: px(x(g.middle)), cy: px(at), ...blade }) + tag("circle", { cx: px(x(g.middle)), cy: px(at), r: 3, fill: INK, stroke: "#ffffff" });
}

function drawnWind(n, g) {
  if (n.wind === "calm") return "";
  const at = STAGE.x(g.wall) + 24;
  const [high, low] = [STAGE.y(n.outlet_height) + 6, STAGE.y(VENT + n.lower_vent / 2)];
  const arrow = { stroke: "#0b5fa5", "stroke-width": 3, "stroke-dasharray": "9 5", "marker-end": `url(#${g.id}-tip)` };
  if (n.wind === "along the wall") return path(`M${px(at + 34)} ${px(high + 20)}V${px(low - 26)}`, arrow);
  const y = n.wind === "against" ? high : low - 30;
  return path(`M${px(at + 70)} ${px(y)}H${px(at + 30)}`, arrow);
}

// What lies below the air.
function enclosureBack(n, g) {
  const { x, y, floor, width, height } = STAGE;
  const hot = clamp((n.ambient - 294) / 27, 0, 1);
  const sky = `rgb(${[203, 224, 238].map((mild, k) => Math.round(mix(mild, [250, 220, 180][k], hot))).join()})`;
  const [back, wall] = [x(g.back), x(g.wall)];
  const cabinet = drawnCabinet(n, g.back);
  const wellTop = y(g.ceiling);
  return [
    `<defs><linearGradient id="${g.id}-sky" x1="0" y1="0" x2="0" y2="1"><stop offset="0" stop-color="${sky}"/>
    <stop offset="1" stop-color="#f7f5f0"/></linearGradient>
    <pattern id="${g.id}-hatch" width="9" height="9" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">
    <path d="M0 0V9" stroke="#b59b5c" stroke-width="2"/></pattern>
    <marker id="${g.id}-tip" viewBox="0 0 10 10" refX="6" refY="5" markerWidth="3" markerHeight="3" orient="auto">
    <path d="M0 0 L10 5 L0 10 z" fill="#0b5fa5"/></marker></defs>`,
    rect(0, 0, width, height, { rx: 12, fill: `url(#${g.id}-sky)` }),
    rect(0, wellTop, back, floor - wellTop, { fill: "#efebe2" }),
    rect(back, wellTop, wall - back, floor - wellTop, { fill: WELL }),
    drawnTop(n, g),
    cabinet.drawn,
    drawnUnit(n, g.back).drawn,
    drawnLensBack(n, g),
  ].join("");
}

function drawnLensBack(n, g) {
  const { x, y, width, height } = LENS;
  const wall = Math.min(LENS.toX(g.wall, g), x + width);
  const [fromX, fromTop, fromLow] = [STAGE.x(g.wall) + 8, STAGE.y(n.fins_top + 0.02), STAGE.y(n.fins_top + 0.02 - height / LENS.scale)];
  return [
    path(`M${px(fromX)} ${px(fromTop)}L${x} ${y + 14}V${y + height - 14}L${px(fromX)} ${px(fromLow)}z`, { fill: "#fbf8f2", opacity: 0.5, stroke: "none" }),
    rect(x, y, width, height, { rx: 14, fill: "#eef1f3", stroke: INK, "stroke-width": 2 }),
    tag("clipPath", { id: `${g.id}-lens` }, rect(x + 1, y + 1, width - 2, height - 2, { rx: 13 })),
    tag("g", { "clip-path": `url(#${g.id}-lens)` }, rect(x, y, 10, height, { fill: "#d8cba6" }) + rect(x + 10, y, wall - x - 10, height, { fill: WELL })),
  ].join("");
}

// What lies above the air.
function enclosureFront(n, g, say) {
  const toX = (metres) => LENS.toX(metres, g);
  const toY = (height) => LENS.toY(height, n);
  const lensWall = rect(Math.min(toX(g.wall), LENS.x + LENS.width), LENS.y, 9, LENS.height, { fill: INK });
  const seen = rect(STAGE.x(g.back) - 2, STAGE.y(n.fins_top + 0.02), (g.wall - g.back) * STAGE.scale + 10, (LENS.height / LENS.scale) * STAGE.scale, {
    rx: 4,
    fill: "none",
    stroke: "#ffffff",
    "stroke-width": 1.6,
  });
  return [
    drawnFins(n, g, STAGE.x, STAGE.y, 5, 1.4),
    drawnBaffle(n, g, STAGE.x, STAGE.y, 4),
    drawnFan(n, g),
    drawnWalls(n, g),
    drawnWind(n, g),
    seen,
    tag("g", { "clip-path": `url(#${g.id}-lens)` }, drawnFins(n, g, toX, toY, 7, 3) + drawnBaffle(n, g, toX, toY, 7) + lensWall),
    drawnPlan(n),
    drawnMeter(n),
    enclosureLabels(n, g, say),
  ].join("");
}

// The gaps at the sides, from above.
function drawnPlan(n) {
  const { x, y, width, height, scale } = PLAN;
  const gap = n.side_gap * scale;
  const warm = HEATS[clamp(Math.round((n.side - n.ambient) / 5.6), 0, 4)][0];
  const side = (from) => rect(from, y, gap, height, { fill: WELL }) + rect(from + gap * 0.25, y + 3, gap * 0.5, height - 6, { fill: warm });
  const board = { fill: INK };
  return [
    rect(x, y, width, height, { fill: "#f1e6c9", stroke: STEEL, "stroke-width": 1.8 }),
    side(x - gap) + side(x + width),
    rect(x - gap - 6, y - 4, 6, height + 8, board),
    rect(x + width + gap, y - 4, 6, height + 8, board),
  ].join("");
}

function meterX(n, low, high, meter = METER) {
  return meter.x + meter.width * clamp((n.ambient - low) / (high - low), 0, 1);
}

function drawnMeter(n, meter = METER) {
  const [low, high] = n.outside;
  const at = meterX(n, low, high, meter);
  const glass = { stroke: INK, "stroke-width": 1.8 };
  return [
    rect(meter.x - 6, meter.y - 7, meter.width + 12, 14, { rx: 7, fill: "#ffffff", ...glass }),
    rect(meter.x - 4, meter.y - 4, at - meter.x + 4, 8, { rx: 4, fill: "#c0392b" }),
  ].join("");
}

// Texts: `say` has those of the controls, `n` those of the model; what the model says is a result.
function enclosureLabels(n, g, say) {
  const { x, y } = STAGE;
  const result = (name) => ({ "data-name": name, class: "warmside-result halo warmside-strong" });
  const unit = drawnUnit(n, g.back).heights;
  const at = x(g.back);
  const column = [
    { y: y(n.fins_top) - 30, lines: [[n.above_text, result("above_text")], "above fins"] },
    { y: y(mix(n.fins, n.fins_top, 0.5)), point: at + 12, lines: ["condenser"] },
    { y: y(n.fins) + 2, lines: [[n.below_text, result("below_text")], "below fins"] },
    { y: y(unit.rectifier), point: at + 20, lines: ["rectifier"] },
    { y: y(unit.pump), point: at + 20, lines: ["bubble pump"] },
    { y: y(unit.absorber), point: at + 9, lines: ["absorber"] },
    { y: y(unit.boiler), point: at + 20, lines: ["boiler"] },
    { y: y(unit.vessel), point: at + 8, lines: ["vessel"] },
  ];
  const foods = drawnCabinet(n, g.back);
  const [left, frozen, food] = [foods.inner + 8, foods.freezer, foods.food];
  const state = n.food_good ? GOOD : BAD;
  const plan = PLAN.x + PLAN.width + 58;
  const shut = (name, where) => `${where}${n[name] ? `, ${say(name)} shut` : ""}`;
  const outlet = y(n.outlet_height) + (n.outlet === "roof" ? -4 : -28);
  const heats = say.page.heats.map((text, k) => letters(456 + k * 40, 60, k === 4 ? `${text}+` : text)).join("");
  const swatches = HEATS.map(([colour, dash], k) =>
    rect(456 + k * 40, 30, 38, 12, { fill: WELL }) + path(`M${460 + k * 40} 36h30`, { stroke: colour, "stroke-width": 3.6, "stroke-dasharray": dash.join(" ") }),
  );
  return [
    labelColumn(column, LABELS, 96, STAGE.floor - 20),
    letters(456, 21, "Air warmer than outside by"),
    swatches.join(""),
    heats + letters(660, 42, say.page.unit),
    letters(LENS.x, LENS.y - 8, `Close-up, ${(LENS.scale / STAGE.scale).toFixed(1)} times`),
    letters(LENS.x, LENS.y + LENS.height + 22, tag("tspan", { ...result("through_text") }, n.through_text) + " through the fins"),
    letters(LENS.x, LENS.y + LENS.height + 44, tag("tspan", { ...result("past_text") }, n.past_text) + " past them"),
    letters(LENS.x, LENS.y + LENS.height + 66, n.baffle ? `baffle ${say("baffle_gap")} off them` : "no baffle", n.baffle ? {} : { style: `fill:${BAD};font-weight:700` }),
    letters(plan, PLAN.y + 10, "sides"),
    letters(plan, PLAN.y + 31, say("side_gap"), { class: "warmside-strong" }),
    letters(plan, PLAN.y + 52, n.side_text, { ...result("side_text") }),
    letters(METER.x - 6, METER.y - 30, "outside"),
    letters(METER.x + 66, METER.y - 30, say("ambient"), { class: "warmside-strong", "data-name": "outside_text" }),
    letters(METER.x - 6, METER.y + 32, n.runs_text, result("runs_text")),
    letters(x(g.wall) + 60, outlet, shut("upper_blocked", n.outlet === "roof" ? "roof vent" : "wall outlet"), { class: "halo" }),
    letters(x(g.back) - 40, STAGE.height - 4, `${shut("lower_blocked", "lower vent")}: ${tag("tspan", result("flow_text"), n.flow_text)}`),
    letters(left, frozen.top + 26, n.freezer_text, result("freezer_text")),
    letters(left, frozen.top + 46, "freezer"),
    letters(left, food.top + 36, n.food_text, { ...result("food_text"), style: `font-size:32px;fill:${state}` }),
    letters(left, food.top + 60, n.state_text, { ...result("state_text"), style: `fill:${state}` }),
    letters(x(0) + 12, y(g.ceiling) + 22, ...overTheTop(n)),
    n.fan === "none" ? "" : letters(LABELS + 14, (n.outlet === "roof" ? y(n.fins_top + 0.14) : y(g.ceiling) + 22) - 4, `${n.fan} fan`, { class: "halo" }),
  ].join("");
}

function overTheTop(n) {
  const result = { "data-name": "pocket_text" };
  if (n.pocket_open) return [`${n.pocket_text} over the top`, { ...result, class: "warmside-result warmside-light" }];
  if (n.top_gap) return [`${n.pocket_text} in the gap`, { ...result, class: "warmside-result halo warmside-strong" }];
  return ["top closed", { class: "halo" }];
}

// What can be grabbed: the control it moves, where it is, and which way a hand pulls it.
function enclosureHandles() {
  const { x, y } = STAGE;
  const along = (axis, pixels) => ({ axis, pixels });
  return [
    {
      name: "baffle_gap",
      toggle: "baffle",
      hint: "Enter or a pull down takes it out",
      icon: (n) => (n.baffle ? "across" : "plus"),
      at: (n, g) => [Math.min(LENS.toX(g.wall, g), LENS.x + LENS.width - 18), LENS.toY(n.fins - 0.075, n)],
      pull: along("x", LENS.scale),
    },
    { name: "rear_gap", icon: () => "across", at: (n, g) => [x(g.wall) + 16, y(n.fins * 0.48)], pull: along("x", STAGE.scale) },
    {
      name: "lower_blocked",
      icon: () => "upright",
      at: (n, g) => [x(g.wall) + 20, mix(y(VENT + n.lower_vent) - 8, y(VENT) - 8, n.lower_blocked)],
      pull: along("y", 60),
    },
    {
      name: "upper_blocked",
      icon: (n) => (n.outlet === "roof" ? "across" : "upright"),
      at: (n, g) =>
        n.outlet === "roof"
          ? [x(g.middle) + mix(58, 30, n.upper_blocked), y(n.outlet_height) + 12]
          : [x(g.wall) + 24, mix(y(n.outlet_height + n.upper_vent / 2), y(n.outlet_height - n.upper_vent / 2), n.upper_blocked)],
      pull: (n) => (n.outlet === "roof" ? along("x", -60) : along("y", 60)),
    },
    { name: "top_gap", icon: () => "upright", at: (n) => [x(0.13), y(n.side_height + n.top_gap)], pull: along("y", -STAGE.scale), hidden: (n) => n.pocket_open },
    { name: "pocket_open", icon: (n) => (n.pocket_open ? "plus" : "cross"), at: (n, g) => [x(0.45), y(mix(n.side_height, g.ceiling, 0.5))] },
    { name: "fan", icon: () => "turn", at: (n, g) => [x(g.wall) + 22, n.outlet === "roof" ? y(n.fins_top + 0.14) : y(g.ceiling) + 22] },
    { name: "side_gap", icon: () => "across", at: (n) => [PLAN.x + PLAN.width + n.side_gap * PLAN.scale + 18, PLAN.y + PLAN.height / 2], pull: along("x", PLAN.scale) },
    { name: "ambient", icon: () => "across", at: (n) => [meterX(n, ...n.outside), METER.y], pull: (n) => along("x", METER.width / (n.outside[1] - n.outside[0])) },
  ];
}

// What is asked before a change shows what it does.
function enclosureAsks(before) {
  const { food_text: food, outside_text: outside } = before.picture;
  return {
    title: "What will the food do?",
    note: `It was at ${food}, with ${outside} outside. The same means that nobody would notice.`,
    answers: ["Gets colder", "Stays the same", "Gets warmer"],
  };
}

const SCENES = {
  enclosure: {
    geometry: enclosureGeometry,
    back: enclosureBack,
    front: enclosureFront,
    handles: enclosureHandles,
    asks: enclosureAsks,
    chart: makeChart,
    moving: (canvas, page) => airOn(canvas, STAGE, page.heat_step),
    label: "Side section of a refrigerator in its enclosure; its handles move with the arrow keys",
    spots: { Top: [150, 60], Fins: [570, 210], Vent: [250, 560], Food: [140, 400], Outside: [570, 560] },
    about:
      "Side section to scale, vents by their free area. How much air goes which way, how fast and how warm is the model's; " +
      "where in its way a streak runs is drawn for the eye, and so is air that turns over the top.",
  },
};
