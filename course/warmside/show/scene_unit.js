// The scene of module 01: a sealed unit drawn flat, what flows in it, and points where it can be read.
// The unit turns about the stage's middle when it stands out of level; its liquids stay where they are.

const UNIT_STAGE = makeStage(276, 570, 54);
const MIDDLE = [345, 287];
const SHRINKS = 0.7; // of the drawing, for a radian, so that a tilted unit stays on the stage
const TUBES = {
  gas: [[612, 330], [612, 98], [352, 104]],
  liquid: [[352, 104], [228, 109], [228, 122]],
  vent: [[346, 104], [346, 158], [268, 158]],
  round: [
    [340, 392], [268, 392], [268, 128], [72, 128], [72, 162], [186, 162], [186, 236], [72, 236], [72, 270], [240, 270], [240, 494],
    [452, 494], [452, 456], [340, 456], [340, 424], [452, 424], [452, 392], [340, 392],
  ],
  coil: [[440, 392], [452, 392], [452, 424], [340, 424], [340, 456], [452, 456], [452, 482]],
  strong: [[446, 500], [446, 530], [622, 530], [622, 330]],
  weak: [[594, 484], [594, 522], [488, 522], [488, 356], [436, 356], [436, 386]],
};
// What the hydrogen's round passes, by corners of its tube: from light gas to heavy, and back through the absorber.
const ROUND = { freezer: [3, 5], food: [7, 9], sinks: [9, 11], absorber: [12, 17] };
const PLACED = {
  boiler: [596, 446], pump: [622, 388], rectifier: [612, 214], condenser: [480, 101], freezer: [128, 162],
  food: [128, 270], light: [268, 232], heavy: [240, 432], strong: [330, 500], weak: [488, 446],
};
const CARD = { x: 304, y: 174, width: 210, height: 166 };
const FLAME = { x: 664, foot: 486, high: 120 };
const UNIT_AIR = { x: 662, top: 104, height: 130 };
const LEVEL = { x: 24, y: 576, width: 150 };
const GAUGE = { x: 250, y: 576, width: 150 };
const MOST_TILT = Math.PI / 30;
const LIQUID = "#58b0f0";
const AMMONIA = "#ffb020";
const STRONG = "#2fb487";
const WEAK = "#d8f0e4";
const TUBE_HEATS = [[253, "#2f86cc"], [278, "#6bb8e6"], [305, "#c3bb9a"], [333, "#f1b34e"], [366, "#f07f35"], [466, "#d9432a"]];

function along(corners) {
  const ends = [0];
  corners.slice(1).forEach(([x, y], k) => ends.push(ends[k] + Math.hypot(x - corners[k][0], y - corners[k][1])));
  const long = ends.at(-1);
  const at = (s) => {
    let k = 1;
    while (k < ends.length - 1 && ends[k] < s) k += 1;
    const part = (s - ends[k - 1]) / (ends[k] - ends[k - 1]);
    const [one, other] = [corners[k - 1], corners[k]];
    const [dx, dy] = [other[0] - one[0], other[1] - one[1]].map((way) => way / (ends[k] - ends[k - 1]));
    return [mix(one[0], other[0], part), mix(one[1], other[1], part), dx, dy];
  };
  return { at, ends, long };
}
const WAYS = Object.fromEntries(Object.entries(TUBES).map(([name, corners]) => [name, along(corners)]));
const partOf = (name, from, to) => TUBES[name].slice(from, to + 1);
const lineOf = (corners) => `M${corners.map((corner) => corner.join(" ")).join("L")}`;

function toHeat(kelvin) {
  const k = Math.max(1, TUBE_HEATS.findIndex(([at]) => at > kelvin));
  const [[from, one], [to, other]] = kelvin >= 466 ? TUBE_HEATS.slice(-2) : [TUBE_HEATS[k - 1], TUBE_HEATS[k]];
  const parts = (hex) => [1, 3, 5].map((place) => parseInt(hex.slice(place, place + 2), 16));
  const share = clamp((kelvin - from) / (to - from), 0, 1);
  return `rgb(${parts(one).map((part, j) => Math.round(mix(part, parts(other)[j], share))).join()})`;
}

function unitGeometry(n) {
  const size = 1 - SHRINKS * n.tilt;
  const [cos, sin] = [Math.cos(n.tilt) * size, Math.sin(n.tilt) * size];
  const put = (x, y) => [MIDDLE[0] + (x - MIDDLE[0]) * cos - (y - MIDDLE[1]) * sin, MIDDLE[1] + (x - MIDDLE[0]) * sin + (y - MIDDLE[1]) * cos];
  const turn = `translate(${MIDDLE}) rotate(${px((n.tilt * 180) / Math.PI)}) scale(${size.toFixed(3)}) translate(${-MIDDLE[0]} ${-MIDDLE[1]})`;
  return { put, turn, cos, sin };
}

// --- what stands still ---

function drawnBoxes(n) {
  const line = { stroke: STEEL, "stroke-width": 1.8 };
  const warm = clamp((n.food - 274) / 14, 0, 1);
  const inside = `rgb(${[222, 236, 246].map((cold, k) => Math.round(mix(cold, [248, 226, 206][k], warm))).join()})`;
  const fins = Array.from({ length: 13 }, (_, k) => `M${78 + k * 8} 224V282`).join("");
  return [
    rect(28, 72, 186, 436, { rx: 5, fill: "#f1e6c9", ...line }),
    rect(22, 76, 18, 428, { rx: 4, fill: "#dfe4e8", ...line }),
    rect(14, 100, 6, 60, { rx: 3, fill: STEEL }) + rect(14, 226, 6, 74, { rx: 3, fill: STEEL }),
    rect(46, 84, 156, 104, { rx: 3, fill: n.fails ? "#f6e6d6" : "#e3eff8" }),
    rect(46, 204, 156, 292, { rx: 3, fill: inside }),
    path("M46 424H202", { stroke: "#8795a1", "stroke-width": 2.5 }),
    path(fins, { stroke: "#7da3ba", "stroke-width": 1.8 }),
    tag("g", { transform: "translate(54 0)" }, shelfOfFood(0, [424, 424], 494)),
  ].join("");
}

function drawnTubes(n) {
  const walls = [];
  const insides = [];
  const tube = (corners, width, heat, wall = 2.6) => {
    const more = { "stroke-linejoin": "round", "stroke-linecap": "butt" };
    walls.push(path(lineOf(corners), { ...more, stroke: n.fails ? "#8795a1" : toHeat(heat), "stroke-width": width + 2 * wall }));
    insides.push(path(lineOf(corners), { ...more, stroke: WELL, "stroke-width": width }));
  };
  const exchanged = mix(n.absorber, n.boiler, 0.5);
  tube(TUBES.vent, 6, n.condensing, 2);
  tube(partOf("round", 0, 3), 15, n.absorber);
  tube([...partOf("round", 2, 5), [186, 180]], 19, n.freezer_coil); // each a little round the next corner
  tube([...partOf("round", 5, 9).with(0, [186, 179])], 19, n.food_coil);
  tube([[228, 270], ...partOf("round", 9, 12)], 15, n.absorber);
  tube([[452, 470], ...partOf("round", 12, 17)], 17, n.absorber);
  tube(TUBES.liquid, 8, n.condensing, 2);
  tube(TUBES.gas, 15, n.condensing);
  tube(TUBES.weak, 10, exchanged, 2.2);
  tube(TUBES.strong, 10, mix(n.absorber, n.boiler, 0.3), 2.2);
  return walls.join("") + insides.join("");
}

function drawnVessels(n) {
  const wall = (kelvin) => ({ fill: WELL, stroke: n.fails ? "#8795a1" : toHeat(kelvin), "stroke-width": 3 });
  const plates = [188, 204, 220, 236].map((y, k) => path(`M${k % 2 ? 597 : 608} ${y}h19`, { stroke: "#9aa9b5", "stroke-width": 2.4 }));
  const fins = Array.from({ length: 17 }, (_, k) => path(`M${368 + k * 14} 74V130`, { stroke: "#8795a1", "stroke-width": 2.4 }));
  return [
    rect(231, 280, 46, 88, { rx: 10, ...wall(mix(n.food_coil, n.absorber, 0.5)) }),
    rect(260, 276, 16, 96, { fill: WELL, stroke: "#5b6874", "stroke-width": 1.6 }),
    rect(226, 476, 244, 34, { rx: 16, ...wall(n.absorber) }),
    rect(478, 514, 106, 30, { rx: 8, ...wall(mix(n.absorber, n.boiler, 0.6)) }),
    path("M480 524.500H582M480 535.500H582", { stroke: "#5b6874", "stroke-width": 1.6 }),
    rect(580, 304, 60, 184, { rx: 9, ...wall(n.boiler) }),
    path("M615.500 326V486M628.500 326V486", { stroke: "#c9a27c", "stroke-width": 2.2 }),
    rect(594, 176, 36, 72, { rx: 8, ...wall(mix(n.condensing, n.boiler, 0.4)) }),
    ...plates,
    ...fins,
  ].join("");
}

function drawnFlame(n) {
  const { x, foot, high } = FLAME;
  const tall = high * n.heat;
  const flame = tall > 1 ? path(`M${x} ${px(foot - tall)}Q${x + 15} ${px(foot - tall * 0.35)} ${x + 8} ${foot}H${x - 8}Q${x - 15} ${px(foot - tall * 0.35)} ${x} ${px(foot - tall)}z`, { fill: "#ff8a2b", stroke: "#b4481a", "stroke-width": 1.6 }) : "";
  return rect(x - 15, foot - high * 1.3 - 6, 30, high * 1.3 + 6, { rx: 4, fill: "#3a2f2c", stroke: STEEL, "stroke-width": 1.8 }) + flame + rect(x - 17, foot, 34, 7, { rx: 2, fill: STEEL });
}

function unitBack(n, g) {
  const hot = clamp((n.ambient - 288) / 34, 0, 1);
  const sky = `rgb(${[[222, 250], [234, 226], [240, 196]].map(([cool, warm]) => Math.round(mix(cool, warm, hot))).join()})`;
  const unit = drawnBoxes(n) + drawnFlame(n) + drawnTubes(n) + drawnVessels(n);
  return [
    rect(0, 0, 690, 596, { rx: 12, fill: "#f1ede4" }),
    rect(222, 44, 468, 500, { rx: 12, fill: sky, opacity: 0.75 }),
    tag("g", { transform: g.turn }, unit),
  ].join("");
}

const patternOf = (kind, x, y, wide) => {
  const marks = Array.from({ length: Math.max(Math.floor(wide / 12), 0) }, (_, k) => x + 6 + k * 12);
  if (kind === "solution") return path(marks.map((at) => `M${px(at - 4)} ${y + 10}h7`).join(""), { stroke: "#0a7a58", "stroke-width": 1.8 });
  return marks.map((at) => tag("circle", { cx: px(at), cy: y + 10, r: 3.4, fill: "none", stroke: "#47535f", "stroke-width": 1.4 })).join("");
};

// What is read at the point in hand: a large line, a bar of what it is made of, and what the parts are.
function drawnCard(n) {
  const told = n.cards[n.point];
  const { x, y, width, height } = CARD;
  const wide = width - 24;
  const own = told.share === null ? 0 : told.share * wide;
  const bar =
    told.share === null
      ? ""
      : rect(x + 12, y + 58, wide, 20, { fill: told.kind === "solution" ? "#bfe9d6" : "#ffffff" }) +
        patternOf(told.kind, x + 12 + own, y + 58, wide - own) +
        rect(x + 12, y + 58, own, 20, { fill: "#e08a00" }) +
        rect(x + 12, y + 58, wide, 20, { fill: "none", stroke: INK, "stroke-width": 1.6 });
  const large = told.at.length > 9 ? 18 : 26;
  const lines = told.lines.map((text, k) => letters(x + 12, y + 97 + k * 20, text, { "data-card": k }));
  return [
    rect(x, y, width, height, { rx: 10, fill: "#fffefb", stroke: "#0b5fa5", "stroke-width": 2.4 }),
    letters(x + 12, y + 23, told.title, { class: "warmside-strong" }),
    tag("g", { class: "warmside-result" }, letters(x + 12, y + 50, told.at, { class: "warmside-strong", style: `font-size:${large}px`, "data-card": "at" }) + bar + lines.join("")),
  ].join("");
}

function unitFront(n, g, say) {
  const at = (x, y, text, more = {}) => letters(...g.put(x, y), text, { class: "halo", ...more });
  const strong = { class: "halo warmside-strong" };
  const result = (name) => ({ "data-name": name, class: "warmside-result halo warmside-strong" });
  const up = (x, y, text) => {
    const [left, top] = g.put(x, y);
    return tag("text", { transform: `translate(${px(left)} ${px(top)}) rotate(${px(-90 + (n.tilt * 180) / Math.PI)})`, "text-anchor": "middle", class: "halo" }, text);
  };
  const colour = n.good ? GOOD : BAD;
  const off = n.tilt > 0.0527;
  const foodSize = n.food_text.length > 7 ? 22 : 34;
  // A name and what it is at, as one line.
  const both = (x, y, name, text, of, more = {}) => at(x, y, `${name} ${tag("tspan", { ...result(of), class: "warmside-result warmside-strong" }, text)}`, more);
  return [
    drawnCard(n),
    both(52, 106, "freezer", n.freezer_text, "freezer_text"),
    at(52, 328, n.food_text, { ...result("food_text"), style: `font-size:${foodSize}px;fill:${colour}` }),
    at(52, 351, `food ${tag("tspan", { class: "warmside-result warmside-strong", style: `fill:${colour}` }, n.state_text)}`),
    at(52, 378, `set to ${tag("tspan", { class: "warmside-strong" }, say("setting").split(",")[0].toLowerCase())}`),
    both(232, 62, "condenser", n.condensing_text, "condensing_text"),
    both(398, 62, "air at its fins", n.air_text, "air_text"),
    at(586, 200, "rectifier", { class: "halo", "text-anchor": "end" }),
    at(572, 360, "bubble", { class: "halo", "text-anchor": "end" }) + at(572, 380, "pump", { class: "halo", "text-anchor": "end" }),
    at(572, 458, "boiler", { class: "halo", "text-anchor": "end" }),
    at(572, 478, n.boiler_text, { ...result("boiler_text"), "text-anchor": "end" }),
    both(286, 374, "absorber", n.absorber_text, "absorber_text"),
    at(500, 416, "weak"),
    at(434, 527, "strong", { class: "halo", "text-anchor": "end" }),
    at(488, 566, "heat exchanger"),
    up(292, 236, "light gas"),
    up(262, 436, "heavy gas"),
    letters(684, 62, "outside", { class: "halo", "text-anchor": "end" }),
    letters(684, 83, n.outside_text, { ...strong, "text-anchor": "end", "data-name": "outside_text" }),
    rect(UNIT_AIR.x - 7, UNIT_AIR.top - 8, 14, UNIT_AIR.height + 14, { rx: 7, fill: "#ffffff", stroke: STEEL, "stroke-width": 1.8 }),
    rect(UNIT_AIR.x - 3.5, outsideY(n), 7, UNIT_AIR.top + UNIT_AIR.height - outsideY(n), { fill: "#c0392b" }),
    tag("circle", { cx: UNIT_AIR.x, cy: UNIT_AIR.top + UNIT_AIR.height + 8, r: 12, fill: "#c0392b", stroke: STEEL, "stroke-width": 1.8 }),
    letters(684, 276, "heat", { class: "halo", "text-anchor": "end" }),
    letters(684, 296, n.heat_text, { ...strong, "text-anchor": "end", "data-name": "heat_text" }),
    letters(LEVEL.x, 556, off ? "out of level" : "level", { class: "halo" }),
    letters(LEVEL.x + (off ? 96 : 46), 556, n.tilt_text, { ...strong, "data-name": "tilt_text", style: `fill:${off ? BAD : INK}` }),
    rect(LEVEL.x, LEVEL.y - 8, LEVEL.width, 16, { rx: 8, fill: "#dcebb6", stroke: STEEL, "stroke-width": 1.8 }),
    path(`M${px(LEVEL.x + LEVEL.width / 2)} ${LEVEL.y - 9}v18`, { "stroke-width": 2 }),
    letters(GAUGE.x, 556, "charge", { class: "halo" }) + letters(GAUGE.x + 64, 556, n.charge_text, { ...strong, "data-name": "charge_text" }),
    path(`M${GAUGE.x} ${GAUGE.y}h${GAUGE.width}`, { stroke: STEEL, "stroke-width": 5, "stroke-linecap": "round" }),
    tag("circle", { cx: 452, cy: 580, r: 7, fill: "#ffffff", stroke: "#0b5fa5", "stroke-width": 4 }),
    letters(466, 586, "touch a ring to read there"),
  ].join("");
}

const outsideY = (n) => mix(UNIT_AIR.top + UNIT_AIR.height, UNIT_AIR.top, (n.ambient - n.outside[0]) / (n.outside[1] - n.outside[0]));
const LOWEST_CHARGE = 0.6;
const MOST_CHARGE = 1.15;

function unitHandles() {
  const along = (axis, pixels) => ({ axis, pixels });
  return [
    { name: "heat", icon: () => "upright", at: (n, g) => g.put(FLAME.x, FLAME.foot - 8 - FLAME.high * n.heat), pull: along("y", -FLAME.high) },
    { name: "ambient", icon: () => "upright", at: (n) => [UNIT_AIR.x, outsideY(n)], pull: (n) => along("y", -UNIT_AIR.height / (n.outside[1] - n.outside[0])) },
    { name: "tilt", icon: () => "across", at: (n) => [LEVEL.x + LEVEL.width * mix(0.5, 0.93, n.tilt / MOST_TILT), LEVEL.y], pull: along("x", (LEVEL.width * 0.43) / MOST_TILT) },
    { name: "charge", icon: () => "across", at: (n) => [GAUGE.x + GAUGE.width * ((n.charge - LOWEST_CHARGE) / (MOST_CHARGE - LOWEST_CHARGE)), GAUGE.y], pull: along("x", GAUGE.width / (MOST_CHARGE - LOWEST_CHARGE)), hint: "sealed in at the factory; nobody changes it" },
    { name: "setting", icon: () => "turn", at: (n, g) => g.put(193, 372) },
  ];
}

// Rings to touch, and chips that let one follow a flow and say how each is drawn.
const SWATCHES = {
  all: [],
  ammonia: [["gas", `<circle cx="6" cy="8" r="3" fill="${AMMONIA}"/><circle cx="18" cy="8" r="3" fill="${AMMONIA}"/>`], ["liquid", `<path d="M1 8h9m5 0h9" stroke="${LIQUID}" stroke-width="4"/>`]],
  hydrogen: [["", `<circle cx="7" cy="8" r="3.4" fill="none" stroke="#ffffff" stroke-width="1.600"/><circle cx="18" cy="8" r="3.4" fill="none" stroke="#ffffff" stroke-width="1.600"/>`]],
  solution: [["strong", `<path d="M0 8h25" stroke="${STRONG}" stroke-width="7"/><circle cx="8" cy="8" r="2" fill="${AMMONIA}"/><circle cx="17" cy="8" r="2" fill="${AMMONIA}"/>`], ["weak", `<path d="M1 8h5m4 0h5m4 0h5" stroke="${WEAK}" stroke-width="4"/>`]],
};

function unitExtras(hand, page) {
  const chips = element("div", { class: "warmside-chips", role: "group", "aria-label": "Flow to follow" });
  Object.entries(SWATCHES).forEach(([name, marks], place) => {
    const made = button(name === "all" ? "all flows" : name, () => hand.row("flow").take(place));
    made.dataset.flow = name;
    for (const [text, drawn] of marks) {
      const swatch = element("span", { "aria-hidden": "true" });
      swatch.innerHTML = `<svg viewBox="0 0 25 16" width="21" height="14"><rect width="25" height="16" rx="3" fill="${WELL}"/>${drawn}</svg>`;
      made.append(swatch, text);
    }
    made.addEventListener("focus", () => hand.aim(["flow"]));
    chips.append(made);
  });
  const showChips = () => [...chips.children].forEach((made) => made.setAttribute("aria-pressed", String(made.dataset.flow === hand.numbers().flow)));
  const rings = page.points.map((name, place) => {
    const made = element("button", { type: "button", class: "warmside-ring", "data-point": name });
    const choose = () => hand.row("point").take(place);
    made.addEventListener("click", choose);
    made.addEventListener("pointerenter", () => hand.aim(["point"]));
    made.addEventListener("focus", () => hand.aim(["point"]));
    const show = () => {
      const n = hand.numbers();
      const [x, y] = hand.geometry().put(...PLACED[name]);
      made.style.left = `${(100 * x) / STAGE.width}%`;
      made.style.top = `${(100 * y) / STAGE.height}%`;
      made.setAttribute("aria-pressed", String(n.point === name));
      const { title, at, lines } = n.cards[name];
      made.setAttribute("aria-label", hand.isHeld() ? title : `${title}: ${[at, ...lines].join(", ")}`);
    };
    return { made, show };
  });
  return [{ made: chips, show: showChips }, ...rings];
}

function unitAsks(before, now) {
  const { food_text: food, outside_text: outside } = before.picture;
  const same = ["heat", "ambient", "tilt", "charge", "setting"].every((name) => before.picture[name] === now.picture[name]);
  if (same || !before.picture.known || !now.picture.known) return null;
  return {
    title: "What will the food do?",
    note: `It was at ${food}, with ${outside} outside. The same means that nobody would notice.`,
    answers: ["Gets colder", "Stays the same", "Gets warmer"],
  };
}

SCENES.unit = {
  geometry: unitGeometry,
  back: unitBack,
  front: unitFront,
  handles: unitHandles,
  extras: unitExtras,
  looks: ["point", "flow"],
  asks: unitAsks,
  chart: makeLineChart,
  moving: movingFlows,
  label: "A sealed unit behind its refrigerator: rings are read, handles move with the arrow keys",
  spots: { Coils: [130, 200], Fins: [470, 110], Read: [410, 260], Vessel: [350, 440], Boiler: [610, 400], Level: [150, 570] },
  about:
    "Drawn flat, not to scale; pressures are absolute. Temperatures, pressures, flows, shares and how much of a coil is wet are the " +
    "model’s; flows run as fast as they are large, ten times slower for solution. Drawn for the eye: where in a tube a mark is, slugs, " +
    "drops and bubbles, steam left out, heat of tubes between two points. The box on the gas tubes is a heat exchanger too.",
};
