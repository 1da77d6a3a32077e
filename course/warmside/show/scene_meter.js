// The scene of module 04: a meter with two probes on the circuit of a boiler's heater, beside its refrigerator.

const METER_STAGE = makeStage(246, 566, 16);
const PLACES = {
  A: [640, 100], B: [556, 100], C: [484, 100], D: [412, 100], E: [318, 100],
  F: [274, 226], G: [274, 466], H: [376, 226], J: [376, 466],
  K: [440, 522], L: [530, 522], M: [640, 522], N: [420, 346],
};
const PROBE = 38; // px from a point to the hand that holds a probe there: red above, black below
const PROBES = { red: { colour: "#c0392b", up: -1, socket: [452, 396] }, black: { colour: INK, up: 1, socket: [598, 396] } };
const BODY = { x: 452, y: 230, width: 146, height: 190 };
const KNOB = { x: 525, y: 366, turns: { volts: -1, amps: 0, ohms: 1 } };
const CLAMP = [598, 100];
const SHEATH = { x: 248, y: 238, width: 156, height: 216 };
const COILS = [274, 376];
const SUPPLY = { x: 608, y: 256, width: 72, height: 84 };
const OUTSIDE = { x: 22, y: 176, width: 190 };
const DOTS = 22; // px from one to the next
const COLD_COIL = [94, 80, 68];
const HOT_COIL = [255, 122, 40];

const meterGeometry = () => ({ back: METER_STAGE.depth });
const wire = (d, more = {}) => path(d, { "stroke-width": 2.6, "stroke-linejoin": "round", ...more });
const toHot = (share) => `rgb(${COLD_COIL.map((cold, k) => Math.round(mix(cold, HOT_COIL[k], clamp(share, 0, 1)))).join()})`;
// Of an element's own part of the plate's heat.
const shareOf = (n, k) => ((n.heats[k] ?? 0) * n.elements) / n.plate;

function drawnCircuit(n) {
  const isOff = n.isolated;
  const second = n.elements > 1;
  const coil = (x, k) => {
    const turns = Array.from({ length: 10 }, (_, turn) => `L${x + (turn % 2 ? -13 : 13)} ${px(258 + turn * 19.5)}`);
    const share = n.known ? shareOf(n, k) : 0;
    const broken = n.known && n.open === "element" && k === 0;
    const glow = share > 0.02 ? path(`M${x} 250${turns.join("")}L${x} 444`, { stroke: "#ffb066", "stroke-width": 15 * share, opacity: 0.4, "stroke-linejoin": "round" }) : "";
    const drawn = path(`M${x} ${PLACES.F[1]}V250${turns.join("")}L${x} 444V${PLACES.G[1]}`, { stroke: toHot(share), "stroke-width": 5, "stroke-linejoin": "round" });
    return glow + drawn + (broken ? rect(x - 17, 342, 34, 14, { fill: "#efe4d2" }) + path(`M${x - 7} 342l14 14m0 -14l-14 14`, { stroke: BAD, "stroke-width": 3 }) : "");
  };
  const ways = second ? "M318 100V160M274 226V160H376V226M274 466V522M376 466V522" : "M318 100V160H274V226M274 466V522";
  const fuseBlown = n.known && n.open === "fuse";
  const switchOpen = isOff || (n.known && n.open === "switch");
  const spot = (from, to, y, isHot) =>
    tag("circle", { cx: (from + to) / 2, cy: y, r: 9, fill: isHot ? "#ff7a28" : "#cfd6db", stroke: isHot ? BAD : STEEL, "stroke-width": isHot ? 3 : 1.8 }) +
    (isHot ? path([-12, 0, 12].map((dx) => `M${(from + to) / 2 + dx} ${y - 12}q-4 -5 0 -9t0 -8`).join(""), { stroke: BAD, "stroke-width": 2 }) : "");
  return [
    rect(SHEATH.x, SHEATH.y, SHEATH.width, SHEATH.height, { rx: 16, fill: "#efe4d2", stroke: "#7b6a58", "stroke-width": 3 }),
    wire(`M640 ${SUPPLY.y}V${isOff ? 222 : 180}${isOff ? "l16 -30M640 180" : ""}V100H484`),
    wire("M484 100H462M434 100H412M412 100H388M348 100H318"),
    wire(ways),
    wire("M274 522H440"),
    wire("M440 522H530", isOff ? { "stroke-dasharray": "3 8" } : {}),
    wire(`M530 522H640V${SUPPLY.y + SUPPLY.height}`),
    rect(432, 91, 32, 18, { rx: 4, fill: "#ffffff", stroke: INK, "stroke-width": 1.8 }),
    fuseBlown ? path("M436 100h9l-3 -4M460 100h-9l3 4", { stroke: BAD, "stroke-width": 2.6 }) : path("M436 100h24", { "stroke-width": 2 }),
    wire(switchOpen ? "M388 100L346 78" : "M388 100H348", { "stroke-width": 4.5, "stroke-linecap": "round", stroke: switchOpen ? BAD : INK }),
    tag("circle", { cx: 388, cy: 100, r: 4, fill: INK }) + tag("circle", { cx: 348, cy: 100, r: 4, fill: INK }),
    spot(PLACES.B[0], PLACES.C[0], 100, n.hot === "BC"),
    spot(PLACES.K[0], PLACES.L[0], 522, n.hot === "KL"),
    COILS.slice(0, n.elements).map(coil).join(""),
    wire(`M${SHEATH.x + SHEATH.width} 346H420`, { stroke: "#7b6a58" }),
    wire("M404 428H424V438M412 438h24M416 444h16M420 450h8", { stroke: "#7b6a58", "stroke-width": 2.2 }),
    rect(SUPPLY.x, SUPPLY.y, SUPPLY.width, SUPPLY.height, { rx: 8, fill: "#fffefb", stroke: INK, "stroke-width": 2 }),
    n.alternating ? path("M626 328q9 -16 18 0t18 0", { "stroke-width": 2.4 }) : path("M628 324h32M628 331h8m4 0h8m4 0h8", { "stroke-width": 2.4 }),
  ].join("");
}

function meterBack(n, g) {
  const { x, y, floor, width, height } = METER_STAGE;
  const back = x(g.back);
  const wall = x(g.back + n.fin_depth + n.rear_gap);
  const boiler = [n.fins * 0.46, n.fins * 0.16].map(y);
  const food = { ...n, fins_top: n.fins_top };
  return [
    rect(0, 0, width, height, { rx: 12, fill: "#f1ede4" }),
    path(`M${px(back + 24)} ${px(boiler[0])}L${SHEATH.x + 4} ${SHEATH.y + 10}V${SHEATH.y + SHEATH.height - 10}L${px(back + 24)} ${px(boiler[1])}z`, { stroke: "none", fill: "#e3d8c4" }),
    rect(back, y(n.side_height), wall - back, floor - y(n.side_height), { fill: WELL }),
    rect(wall, y(n.side_height) - 4, 6, floor - y(n.side_height) + 4, { fill: INK }),
    drawnCabinet(food, g.back, METER_STAGE, shelfOfFood).drawn,
    drawnUnit(n, g.back, METER_STAGE, false).drawn,
    rect(back + 18.4, y(n.fins * 0.4), 3.4, n.fins * 0.22 * METER_STAGE.scale, { rx: 1.7, fill: toHot(n.known ? n.heat / n.plate : 0) }),
    drawnFins(n, { back: g.back, wall: g.back + n.fin_depth + n.rear_gap }, x, y, 5, 1.8),
    rect(0, floor, wall + 6, 6, { fill: INK }),
    drawnCircuit(n),
  ].join("");
}

function shelfOfFood(left, [upper, lower], bottom) {
  const on = { stroke: STEEL, "stroke-width": 1.2 };
  return [
    tag("circle", { cx: left + 18, cy: px(lower - 11), r: 11, fill: "#c8553d", ...on }),
    tag("circle", { cx: left + 38, cy: px(lower - 9), r: 9, fill: "#d9784b", ...on }),
    rect(left + 60, lower - 30, 14, 29, { rx: 4, fill: "#ffffff", ...on }),
    path(`M${left + 8} ${px(bottom - 3)}q0-26 26-28q28 0 28 28z`, { ...on, fill: "#8fae6b" }),
  ].join("");
}

const handOf = (name, letter) => [PLACES[letter][0], PLACES[letter][1] + PROBES[name].up * PROBE];

// A probe stands on its point; its lead goes to the meter. Red is solid, black is dashed.
function drawnProbe(n, name) {
  const { colour, up, socket } = PROBES[name];
  const letter = n[name];
  const [handX, handY] = n.points.includes(letter) ? handOf(name, letter) : parked(name);
  const side = socket[0] < 525 ? -1 : 1;
  const away = handX < socket[0] ? 34 : -34;
  const isOver = up < 0 && handX < 400 && handY > 150; // round the heater, so that it can be read
  const lead = isOver ? `M${socket[0]} ${socket[1]}C424 330 424 ${px(handY)} ${px(handX)} ${px(handY)}` : `M${socket[0]} ${socket[1]}C${socket[0] + side * 46} ${socket[1] + 20} ${px(handX + away)} ${px(handY - up * 6)} ${px(handX)} ${px(handY)}`;
  const drawn = path(lead, { stroke: "#ffffff", "stroke-width": 6, opacity: 0.7 }) + path(lead, { stroke: colour, "stroke-width": 3.4, "stroke-dasharray": name === "red" ? "none" : "9 4" });
  if (!n.points.includes(letter)) return drawn;
  const [x, y] = PLACES[letter];
  return drawn + path(`M${x} ${y + up * 5}V${y + up * 18}`, { stroke: STEEL, "stroke-width": 3 }) + path(`M${x} ${y + up * 15}V${handY}`, { stroke: colour, "stroke-width": 9, "stroke-linecap": "round" });
}
const parked = (name) => (name === "red" ? [470, 470] : [580, 470]);

function drawnBody(n) {
  const turn = KNOB.turns[n.meter];
  const at = (angle, far) => [KNOB.x + far * Math.sin(angle), KNOB.y - far * Math.cos(angle)];
  const [tipX, tipY] = at(turn * 1.05, 24);
  const digits = n.number.length > 7 ? 24 : 29;
  return [
    rect(BODY.x, BODY.y, BODY.width, BODY.height, { rx: 14, fill: "#c9d3da", stroke: INK, "stroke-width": 2.2 }),
    rect(BODY.x + 10, BODY.y + 10, BODY.width - 20, 54, { rx: 6, fill: "#e4ecdf", stroke: INK, "stroke-width": 1.6 }),
    letters(525, 278, n.number, { "text-anchor": "middle", "data-name": "number_text", class: "warmside-result warmside-strong", style: `font-size:${digits}px` }),
    tag("circle", { cx: KNOB.x, cy: KNOB.y, r: 26, fill: "#34424e", stroke: INK, "stroke-width": 2 }),
    path(`M${KNOB.x} ${KNOB.y}L${px(tipX)} ${px(tipY)}`, { stroke: "#ffffff", "stroke-width": 4 }),
    letters(473, 352, "V", { class: "warmside-strong", "text-anchor": "middle" }),
    letters(525, 311, "A", { class: "warmside-strong", "text-anchor": "middle" }),
    letters(577, 352, "Ω", { class: "warmside-strong", "text-anchor": "middle" }),
    ...Object.values(PROBES).map(({ colour, socket: [x, y] }) => tag("circle", { cx: x, cy: y, r: 6, fill: colour, stroke: "#ffffff", "stroke-width": 2 })),
  ].join("");
}

function drawnClamp() {
  const [x, y] = CLAMP;
  return [
    path(`M${x} ${y + 20}C${x} 170 560 180 560 ${BODY.y}`, { stroke: "#ffffff", "stroke-width": 6, opacity: 0.7 }),
    path(`M${x} ${y + 20}C${x} 170 560 180 560 ${BODY.y}`, { stroke: GOOD, "stroke-width": 3.4 }),
    tag("circle", { cx: x, cy: y, r: 18, fill: "none", stroke: GOOD, "stroke-width": 6 }),
    letters(x, y - 26, "clamp", { "text-anchor": "middle", class: "halo" }),
  ].join("");
}

function meterFront(n, g, say) {
  const { x } = METER_STAGE;
  const { inner, food } = drawnCabinet(n, g.back, METER_STAGE, () => "");
  const state = n.food_good ? GOOD : BAD;
  const strong = { class: "halo warmside-strong" };
  const result = (name) => ({ "data-name": name, class: "warmside-result halo warmside-strong" });
  const under = (at, y, text) => letters(at, y, text, { "text-anchor": "middle", class: "halo" });
  const clips = n.meter !== "amps";
  return [
    clips ? drawnProbe(n, "red") + drawnProbe(n, "black") : "",
    drawnBody(n),
    clips ? "" : drawnClamp(),
    ...n.points.map((letter) => {
      const [at, y] = PLACES[letter];
      return tag("circle", { cx: at, cy: y, r: 6.5, fill: "#ffffff", stroke: INK, "stroke-width": 2.4 }) + letters(at + 9, y - 7, letter, strong);
    }),
    under(458, 91, "fuse"),
    under(374, 91 - (n.isolated || n.open === "switch" ? 24 : 0), "switch"),
    under(520, 125, "joint"),
    under(485, 547, "joint"),
    letters(644, 286, "supply", { "text-anchor": "middle" }),
    letters(644, 308, n.supply_text, { "text-anchor": "middle", class: "warmside-strong" }),
    letters(626, 206, say("isolated").toLowerCase(), { "text-anchor": "end", class: "halo warmside-strong" }),
    letters(325, 218, "heater", { "text-anchor": "middle", class: "halo" }),
    letters(n.elements > 1 ? 325 : 344, 342, n.heat_text, { ...result("heat_text"), "text-anchor": "middle", style: "font-size:22px" }),
    letters(n.elements > 1 ? 325 : 344, 366, `of ${n.plate_text.replace(" W", "")}`, { "text-anchor": "middle", class: "halo", "data-name": "plate_text" }),
    letters(682, 590, n.wires_text, { "text-anchor": "end", class: "halo" }),
    letters(290, 29, say("heater").toLowerCase(), { class: "halo" }),
    letters(10, 24, "What is wrong"),
    letters(46, 58, say("fault").toLowerCase(), strong),
    letters(46, 98, n.shown ? "it is told" : "tell me what it is", { class: "halo" }),
    letters(14, 146, "outside", { class: "halo" }),
    letters(78, 146, n.outside_text, { ...strong, "data-name": "outside_text" }),
    drawnMeter(n, OUTSIDE),
    letters(inner + 8, food.top + 76, n.food_text, { ...result("food_text"), style: `font-size:24px;fill:${state}` }),
    letters(inner + 8, food.top + 97, n.food_good ? "✔ holds" : "✘ too warm", { class: "warmside-result halo warmside-strong", style: `fill:${state}` }),
    letters(x(0) + 8, METER_STAGE.height - 6, "food, if left on", { class: "halo" }),
  ].join("");
}

// The nearest point that there is, for a hand that holds a probe.
function dropOf(name) {
  return (x, y, n) => {
    const far = (letter) => Math.hypot(...handOf(name, letter).map((at, k) => at - [x, y][k]));
    const nearest = [...n.points].sort((one, other) => far(one) - far(other))[0];
    return Object.keys(PLACES).sort().indexOf(nearest);
  };
}

function meterHandles() {
  const along = (axis, pixels) => ({ axis, pixels });
  const probe = (name, icon) => ({
    name,
    icon: () => icon,
    at: (n) => (n.points.includes(n[name]) ? handOf(name, n[name]) : parked(name)),
    drop: dropOf(name),
    lacks: (n, place) => !n.points.includes(Object.keys(PLACES).sort()[place]),
    hidden: (n) => n.meter === "amps",
  });
  return [
    probe("red", "plus"),
    probe("black", "minus"),
    { name: "meter", icon: () => "turn", at: (n) => [KNOB.x + 33 * Math.sin(KNOB.turns[n.meter] * 1.05), KNOB.y + 2 - 33 * Math.cos(KNOB.turns[n.meter] * 1.05)] },
    { name: "isolated", icon: () => "turn", at: () => [668, 200] },
    { name: "heater", icon: () => "turn", at: () => [268, 24] },
    { name: "fault", icon: () => "turn", at: () => [24, 52] },
    { name: "shown", icon: () => "turn", at: () => [24, 92] },
    { name: "ambient", icon: () => "across", at: (n) => [meterX(n, ...n.outside, OUTSIDE), OUTSIDE.y], pull: (n) => along("x", OUTSIDE.width / (n.outside[1] - n.outside[0])) },
  ];
}

// Dots in the wires, to and fro on alternating current and one way on direct, as far and fast as the model's amperes;
// and strokes of heat beside each element, as many as its watts.
function movingCurrent(canvas) {
  const context = canvas.getContext("2d");
  const loops = COILS.map((x) => {
    const corners = [[640, SUPPLY.y], [640, 100], [318, 100], [318, 160], [x, 160], [x, 522], [640, 522], [640, SUPPLY.y + SUPPLY.height]];
    const lengths = corners.slice(1).map(([toX, toY], k) => Math.hypot(toX - corners[k][0], toY - corners[k][1]));
    return { corners, lengths, long: lengths.reduce((sum, each) => sum + each, 0), gone: 0 };
  });
  let time = 0;
  function dotsOf(loop, gone) {
    for (let s = ((gone % DOTS) + DOTS) % DOTS; s < loop.long; s += DOTS) {
      let k = 0;
      let rest = s;
      while (rest > loop.lengths[k]) rest -= loop.lengths[k++];
      const [one, other] = [loop.corners[k], loop.corners[k + 1]];
      const part = rest / loop.lengths[k];
      const [x, y] = [mix(one[0], other[0], part), mix(one[1], other[1], part)];
      if (y > 244 && y < 450 && x < 400) continue; // there it is heat
      context.moveTo(x + 3.2, y);
      context.arc(x, y, 3.2, 0, 6.2832);
    }
  }
  function strokesOf(x, share) {
    const many = Math.round(6 * share);
    for (let k = 0; k < many; k += 1) {
      const y = 262 + (k + 0.5) * (176 / Math.max(many, 1));
      const far = 2 * Math.sin(time * 5 + k * 1.7);
      for (const side of [-1, 1]) {
        context.moveTo(x + side * (18 + far), y);
        context.lineTo(x + side * (25 + far), y - 3);
      }
    }
  }
  function frame(n, g, seconds, still, scale) {
    time += seconds;
    context.setTransform(scale, 0, 0, scale, 0, 0);
    context.clearRect(0, 0, METER_STAGE.width, METER_STAGE.height);
    if (!n.known) return;
    context.fillStyle = "#1273b8";
    context.beginPath();
    loops.slice(0, n.elements).forEach((loop, k) => {
      const share = shareOf(n, k);
      if (share < 0.02) return;
      const flows = Math.sqrt(share); // current goes as the root of the heat
      loop.gone += seconds * 46 * flows;
      dotsOf(loop, n.alternating ? 9 * flows * Math.sin(time * 5) : loop.gone);
    });
    context.fill();
    context.strokeStyle = "#d1480a";
    context.lineWidth = 2.6;
    context.lineCap = "round";
    context.beginPath();
    COILS.slice(0, n.elements).forEach((x, k) => strokesOf(x, shareOf(n, k)));
    context.stroke();
  }
  return { frame };
}

const ASKED = ["red", "black", "meter", "isolated", "heater", "fault"]; // whose change moves the meter

function meterAsks(before, now, { page, row }) {
  const asked = page.asks[row("meter").text().toLowerCase()];
  const was = before.picture;
  const same = ASKED.every((name) => row(name).values.indexOf(row(name).read()) === placeOf(row(name), was[name]));
  if (!asked || same) return null;
  const where = row("meter").read() === 0 ? `Red at ${row("red").text()[0]}, black at ${row("black").text()[0]}. ` : "";
  return { title: asked.title, note: `${where}${asked.note}`, answers: asked.answers, marks: ["○", "◐", "●"] };
}
const placeOf = ({ control }, value) => {
  if (typeof value === "boolean") return Number(value);
  return control.options.findIndex((text) => text === value || text.toLowerCase() === value || (value.length === 1 && text.startsWith(`${value} `)));
};

SCENES.meter = {
  geometry: meterGeometry,
  back: meterBack,
  front: meterFront,
  handles: meterHandles,
  asks: meterAsks,
  predicts: (name) => name === undefined || ASKED.includes(name),
  chart: makeHeatChart,
  moving: movingCurrent,
  label: "A refrigerator and the circuit of its heater with a meter; probes and knob move with the arrow keys",
  spots: { Wires: [470, 100], Heater: [325, 340], Meter: [525, 320], Return: [520, 500], Food: [100, 420], Fault: [100, 60] },
  about:
    "Refrigerator to scale, its heater and circuit drawn larger. Volts, amperes, ohms, watts and the food’s temperature are the model’s. " +
    "Current is slowed down to be seen: to and fro on mains, one way on a battery.",
};
