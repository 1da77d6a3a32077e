// The scene of module 05: a cup of water in a refrigerator over a day, beside a thermometer that hangs in the air.

const CUP_STAGE = makeStage(352, 552, 62);
const CUP_METER = { x: 386, y: 306, width: 276 };
const LINE_OF_TIME = { x: 388, y: 506, width: 272 };
const HANGS = 94; // px; where the thermometer in the air is
const STANDS = 184; // px; middle of the cup
const GLASS = [262, 344]; // px; top and bottom of both thermometers' scale
const ON_GLASS = [268, 296]; // K
const OUNCE = 0.02835; // kg

// A number of a series at an hour.
const seriesAt = (series, hour, day) => series[Math.min(Math.floor((hour * 60) / day.minutes + 1e-6), series.length - 1)];

// As the kernel writes temperatures.
function inDegrees(kelvin, { unit, zero, degree }, digits = 1) {
  const text = ((kelvin - zero) / degree).toFixed(digits);
  return `${Number(text) === 0 ? text.replace("-", "") : text} ${unit}`;
}

function oClock(hour, begins, system, short = false) {
  const minutes = Math.round((hour % 1) * 60);
  const of = Math.floor(begins + hour) % 24;
  const past = short ? "" : `:${String(minutes).padStart(2, "0")}`;
  if (system === "SI") return `${of}${past || ":00"}`;
  return `${of % 12 || 12}${past} ${of < 12 ? "am" : "pm"}`;
}

// What is so at an hour of the day.
function cupNow(n, hour, { page, system }) {
  const at = (name) => seriesAt(n[name], hour, page.day);
  const texts = n.hours[Math.floor(hour * page.day.texts + 1e-6)];
  const place = Math.floor((hour * 60) / page.day.minutes + 1e-6);
  const now = { water_now: at("cup"), air_now: at("air"), freezer_now: at("freezer"), outside_now: at("outside_air") };
  const number = (hour * page.day.texts) % 1 ? inDegrees(now.water_now + n.thermometer_error, page.systems[system]) : texts.number;
  return { ...n, ...texts, ...now, number, hour, runs_now: at("runs") > 0, open_now: n.opened.includes(place), food: at("air"), number_label: `At hour ${hour < 24 ? hour.toFixed(1).replace(".0", "") : 24} the thermometer reads` };
}

function cupGeometry(n) {
  const back = CUP_STAGE.depth;
  return { back, wall: back + n.fin_depth + n.rear_gap, vent: VENT };
}

function putIn(n) {
  return (left, [upper, lower], bottom) => {
    const on = { stroke: STEEL, "stroke-width": 1.2 };
    const bag = 58 * Math.sqrt(Math.min(n.warm_load / 9, 1));
    const parts = [
      tag("circle", { cx: left + 24, cy: px(lower - 13), r: 13, fill: "#c8553d", ...on }),
      tag("circle", { cx: left + 50, cy: px(lower - 11), r: 11, fill: "#d9784b", ...on }),
      path(`M${left + 92} ${px(lower)}v-42l8-12h16l8 12v42z`, { ...on, fill: "#ffffff" }),
      rect(left + 92, lower - 30, 32, 13, { fill: "#9fc3e0" }),
      path(`M${left + 6} ${px(bottom - 3)}q0-34 34-36q36 0 36 36z`, { ...on, fill: "#8fae6b" }),
    ];
    if (bag) parts.push(path(`M${left + 118} ${px(bottom - 3)}v-${px(bag - 8)}l6-8h${px(bag)}l6 8v${px(bag - 8)}z`, { ...on, fill: "#d98a4e" }));
    return parts.join("");
  };
}

function cupBack(n, g) {
  const { x, y, floor, width, height } = CUP_STAGE;
  const [back, wall, top] = [x(g.back), x(g.wall), y(n.side_height)];
  const hot = clamp((n.ambient - 289) / 27, 0, 1);
  const sky = `rgb(${[203, 224, 238].map((mild, k) => Math.round(mix(mild, [250, 220, 180][k], hot))).join()})`;
  const low = y(VENT);
  const high = y(VENT + n.lower_vent);
  return [
    `<defs><linearGradient id="${g.id}-sky" x1="0" y1="0" x2="0" y2="1"><stop offset="0" stop-color="${sky}"/>
    <stop offset="1" stop-color="#f7f5f0"/></linearGradient>
    <linearGradient id="${g.id}-night" x1="0" y1="0" x2="0" y2="1"><stop offset="0.6" stop-color="#24427c"/>
    <stop offset="1" stop-color="#24427c" stop-opacity="0"/></linearGradient></defs>`,
    rect(0, 0, width, height, { rx: 12, fill: `url(#${g.id}-sky)` }),
    rect(0, 0, x(0), floor, { fill: "#efebe2" }),
    rect(x(0), 0, back - x(0), top, { fill: CLOSED }),
    rect(back, 0, wall - back, floor, { fill: WELL }),
    rect(wall, 0, 7, high, { fill: INK }),
    rect(wall, low, 7, floor - low, { fill: INK }),
    drawnLouvres(wall, high, low),
    rect(wall + 1, high, 7, (low - high) * n.lower_blocked, { fill: BAD }),
    drawnCabinet({ ...n, food: n.limit - 3 }, g.back, CUP_STAGE, putIn(n)).drawn,
    drawnUnit(n, g.back, CUP_STAGE, false).drawn,
    drawnFins(n, g, CUP_STAGE.x, CUP_STAGE.y, 5, 1.8),
    rect(0, floor, wall + 7, 7, { fill: INK }),
  ].join("");
}

const onGlass = (kelvin) => mix(GLASS[1], GLASS[0], clamp((kelvin - ON_GLASS[0]) / (ON_GLASS[1] - ON_GLASS[0]), 0, 1));

function drawnThermometer(x, kelvin, bulb, top = GLASS[0] - 8) {
  const height = onGlass(kelvin);
  return [
    rect(x - 5, top, 10, bulb - top, { rx: 5, fill: "#ffffff", stroke: INK, "stroke-width": 1.6 }),
    tag("g", { class: "warmside-result" }, rect(x - 2.2, height, 4.4, bulb - height, { fill: MERCURY })),
    tag("circle", { cx: x, cy: bulb, r: 7, fill: MERCURY, stroke: INK, "stroke-width": 1.6 }),
  ].join("");
}

function drawnCup(n, shelf) {
  const size = Math.cbrt(n.cup_mass / OUNCE / 8);
  const [wide, high] = [19 * size, 46 * size];
  const water = shelf - 3 - high * 0.82;
  const glass = `M${px(STANDS - wide)} ${px(shelf - 1 - high)}L${px(STANDS - wide * 0.8)} ${px(shelf - 2)}H${px(STANDS + wide * 0.8)}L${px(STANDS + wide)} ${px(shelf - 1 - high)}`;
  return [
    path(`M${px(STANDS - wide * 0.97)} ${px(water)}L${px(STANDS - wide * 0.8)} ${px(shelf - 3)}H${px(STANDS + wide * 0.8)}L${px(STANDS + wide * 0.97)} ${px(water)}z`, { fill: "#7db4de", stroke: "none", opacity: 0.85 }),
    drawnThermometer(STANDS, n.water_now, shelf - 12),
    path(glass, { "stroke-width": 2.4, stroke: "#3c5468" }),
  ].join("");
}

// Sun and moon go their ways; where they stand is drawn for the eye.
function drawnSky(n, g, { begins }) {
  const of = (begins + n.hour) % 24;
  const night = 1 - smooth(5, 7.5, of) * (1 - smooth(18.5, 21, of));
  const left = CUP_STAGE.x(g.wall) + 7;
  const arc = (part) => [mix(410, 654, part), 196 - 96 * Math.sin(Math.PI * part)];
  const parts = [rect(left, 0, CUP_STAGE.width - left, 300, { fill: `url(#${g.id}-night)`, opacity: (0.58 * night).toFixed(2) })];
  if (of > 6 && of < 20) {
    const [x, y] = arc((of - 6) / 14);
    parts.push(tag("circle", { cx: px(x), cy: px(y), r: 19, fill: "#f2b23a", stroke: "#ffffff", "stroke-width": 2 }));
  } else {
    const [x, y] = arc((((of - 20 + 24) % 24) / 10));
    parts.push(path(`M${px(x + 6)} ${px(y - 15)}a16 16 0 1 0 9 23a13 13 0 0 1 -9 -23z`, { fill: "#f4efd9", stroke: "#ffffff", "stroke-width": 1.5 }));
  }
  return parts.join("");
}

function drawnTime(n, page, system) {
  const { x, y, width } = LINE_OF_TIME;
  const { hours, begins, minutes } = page.day;
  const at = (hour) => x + (hour / hours) * width;
  const dark = [12, 22];
  return [
    rect(x - 6, y - 8, width + 12, 16, { rx: 8, fill: "#f7e2a8", stroke: INK, "stroke-width": 1.6 }),
    rect(at(dark[0]), y - 7, at(dark[1]) - at(dark[0]), 14, { fill: "#3a4f78" }),
    ...n.opened.map((k) => rect(at((k * minutes) / 60) - 1, y - 16, 2, 8, { fill: BAD })),
    ...[0, 6, 12, 18, 24].map((hour) => letters(at(hour) + (hour === 0 ? -8 : hour === 24 ? 10 : 0), y + 38, oClock(hour, begins, system, true), { "text-anchor": hour === 0 ? "start" : hour === 24 ? "end" : "middle" })),
  ].join("");
}

function cupFront(n, g, say) {
  const { x, y, floor } = CUP_STAGE;
  const page = say.whole;
  const units = say.page;
  const system = say.system;
  const cabinet = drawnCabinet({ ...n, food: n.limit - 3 }, g.back, CUP_STAGE, () => "");
  const { inner, freezer, food, shelves } = cabinet;
  const result = (name, more = {}) => ({ "data-name": name, class: "warmside-result halo warmside-strong", ...more });
  const [boilerX, boilerY] = [x(g.back) + 20, y(n.fins * 0.34)];
  const ajar = n.open_now
    ? rect(x(0) - 8, freezer.bottom + 4, 26, floor - freezer.bottom - 10, { fill: "#efebe2" }) +
      rect(6, freezer.bottom + 8, 14, floor - freezer.bottom - 14, { rx: 4, fill: "#dfe4e8", stroke: STEEL, "stroke-width": 1.8 }) +
      path(`M${x(0) - 30} ${food.top + 26}h54m-10-7l10 7l-10 7`, { stroke: "#e5532f", "stroke-width": 5 }) +
      path(`M${x(0) + 24} ${food.bottom - 22}h-54m10-7l-10 7l10 7`, { stroke: "#2f86cc", "stroke-width": 5 })
    : "";
  const glow = n.runs_now ? rect(x(g.back) + 18.4, y(n.fins * 0.4), 3.4, n.fins * 0.22 * CUP_STAGE.scale, { rx: 1.7, fill: "#ff8a3c", class: "warmside-result" }) : "";
  const [low, high] = n.air.slice(Math.max(Math.floor(((n.hour - 2) * 60) / page.day.minutes), 0), Math.floor((n.hour * 60) / page.day.minutes) + 1).reduce(([least, most], air) => [Math.min(least, air), Math.max(most, air)], [999, 0]);
  return [
    drawnSky(n, g, page.day),
    ajar,
    glow,
    tag("g", { class: "warmside-result" }, path(`M${HANGS + 6} ${px(onGlass(high))}h5V${px(onGlass(low))}h-5`, { stroke: "#0b5fa5", "stroke-width": 2 })),
    drawnThermometer(HANGS, n.air_now, GLASS[1] + 4),
    drawnCup(n, shelves[0]),
    letters(HANGS + 18, 278, inDegrees(n.air_now, units), result("air_text")),
    letters(HANGS + 18, 298, "air", { class: "halo" }),
    letters(STANDS + 24, 324, n.number, result("water_text")),
    letters(STANDS + 24, 344, Math.abs(n.thermometer_error) < 0.01 ? "water" : `reads ${n.thermometer_error > 0 ? "high" : "low"}`, { class: "halo" }),
    letters(inner + 8, freezer.top + 26, inDegrees(n.freezer_now, units), result("freezer_text")),
    letters(inner + 8, freezer.top + 46, "freezer"),
    letters(inner + 80, food.bottom - 74, n.warm_load ? `${n.load_cooled ? "cooled" : "warm"}: ${say("warm_load")}` : "no warm food", { class: "halo" }),
    letters(x(0) + 14, 44, n.full_demand ? "thermostat: full demand" : `thermostat ${say("setting")}`),
    letters(10, CUP_STAGE.height - 6, `door ${say("door")}`, { class: "halo" }),
    letters(x(g.back) - 12, CUP_STAGE.height - 6, n.vent_text, { class: "halo" }),
    letters(384, 40, oClock(n.hour, page.day.begins, system), { class: "halo warmside-strong", style: "font-size:30px" }),
    letters(384, 66, `hour ${n.number_label.split(" ")[2]} of the ${n.spans ?? "test"}`, { class: "halo" }),
    letters(CUP_METER.x - 6, CUP_METER.y - 46, "outside now", { class: "halo" }),
    letters(CUP_METER.x + 100, CUP_METER.y - 46, inDegrees(n.outside_now, units), { class: "halo warmside-strong", "data-name": "outside_air_text" }),
    letters(CUP_METER.x - 6, CUP_METER.y - 23, n.day_text ? `mean ${say("ambient")}, ${n.day_text}` : `mean ${say("ambient")}, day and night`, { class: "halo" }),
    drawnMeter({ ...n, ambient: n.outside_now }, CUP_METER),
    path(`M${px(boilerX)} ${px(boilerY)}L368 390H380`, { stroke: "#8795a1" }) + tag("circle", { cx: px(boilerX), cy: px(boilerY), r: 2.4, fill: "#ffffff", stroke: INK }),
    letters(384, 395.5, n.runs_now ? "heater on" : "heater off", { class: "warmside-result halo" }),
    drawnTime(n, page, system),
  ].join("");
}

function cupHandles() {
  const { x, y } = CUP_STAGE;
  const along = (axis, pixels) => ({ axis, pixels });
  return [
    { name: "reading_time", icon: () => "across", at: (n) => [LINE_OF_TIME.x + (n.hour / 24) * LINE_OF_TIME.width, LINE_OF_TIME.y], pull: along("x", LINE_OF_TIME.width / 86400) },
    { name: "door", icon: () => "turn", at: () => [x(0) - 12, 330] },
    { name: "cup_mass", icon: () => "plus", at: () => [STANDS - 50, 342] },
    { name: "warm_load", icon: () => "upright", at: () => [174, 508], pull: along("y", -8) },
    { name: "setting", icon: () => "across", at: (n) => [248 + (n.setting - 276.5) * 1.6, 38], pull: along("x", 4), hidden: (n) => n.full_demand },
    { name: "lower_blocked", icon: () => "upright", at: (n, g) => [x(g.wall) + 20, mix(y(VENT + n.lower_vent) - 4, y(VENT), n.lower_blocked)], pull: along("y", 60) },
    { name: "ambient", icon: () => "across", at: (n) => [meterX(n, ...n.outside, CUP_METER), CUP_METER.y], pull: (n) => along("x", CUP_METER.width / (n.outside[1] - n.outside[0])) },
  ];
}

// Air that turns in the food compartment, as cold as the model's; its way and speed are drawn for the eye.
function turningAir(canvas) {
  const context = canvas.getContext("2d");
  const streaks = Array.from({ length: 40 }, (_, k) => ({ lane: 0.25 + 0.7 * ((k * 0.618034) % 1), a: (k * 2.4) % 6.2832 }));
  function frame(n, g, seconds, still, scale) {
    const { x, y } = CUP_STAGE;
    const foods = { top: y(n.side_height) * 0.7 + CUP_STAGE.floor * 0.3 + 14, bottom: CUP_STAGE.floor - 14 };
    const [left, right] = [x(0) + 16, x(g.back) - 14];
    const [midX, midY, wide, high] = [(left + right) / 2, (foods.top + foods.bottom) / 2, (right - left) / 2, (foods.bottom - foods.top) / 2];
    const rise = clamp((n.air_now - 273) / 20, 0, 1);
    context.setTransform(scale, 0, 0, scale, 0, 0);
    context.clearRect(0, 0, CUP_STAGE.width, CUP_STAGE.height);
    context.lineWidth = 2.2;
    context.lineCap = "round";
    context.strokeStyle = rise < 0.3 ? "#4f9ad6" : rise < 0.6 ? "#d9b04a" : "#e5532f";
    context.globalAlpha = 0.6;
    context.beginPath();
    for (const one of streaks) {
      one.a += seconds * (n.open_now ? 2.2 : n.runs_now ? 0.8 : 0.3);
      for (let k = 0; k < 5; k += 1) {
        const angle = one.a - k * 0.05;
        const squared = (value) => Math.sign(value) * Math.sqrt(Math.abs(value));
        const px_ = midX + wide * one.lane * squared(Math.cos(angle));
        const py = midY + high * one.lane * squared(Math.sin(angle));
        if (k) context.lineTo(px_, py);
        else context.moveTo(px_, py);
      }
    }
    context.stroke();
    context.globalAlpha = 1;
  }
  return { frame };
}

function cupAsks(before, now, { page, system }) {
  const units = page.systems[system];
  const [was, air] = [before.picture.hours.at(-1).number, inDegrees(seriesAt(now.picture.air, 1, page.day), units)];
  return {
    title: "What will the cup read after 24 hours?",
    note: `It read ${was}. Now a thermometer in the air says ${air} after an hour. The same means that you would not see it.`,
    answers: ["Less", "The same", "More"],
  };
}

function cupRange(band, n, { page, system }) {
  const [low, high] = band.map((series) => inDegrees(seriesAt(series, n.hour, page.day), page.systems[system]));
  return `eight in ten plausible ones: ${low === high ? low : `${low.split(" ")[0]} to ${high}`}`;
}

SCENES.cup = {
  geometry: cupGeometry,
  back: cupBack,
  front: cupFront,
  now: cupNow,
  range: cupRange,
  handles: cupHandles,
  asks: cupAsks,
  chart: makeCupChart,
  moving: turningAir,
  label: "Side section of a refrigerator with a cup of water in it, over a day; its handles move with the arrow keys",
  spots: { Cup: [150, 320], Clock: [520, 500], Outside: [520, 260], Vent: [360, 540], Dial: [180, 60] },
  about:
    "Cabinet to scale. All temperatures, the heater and the hours are the model's, whose air is one with the liner it touches. " +
    "How the air turns, sun and moon, and how far the door swings are drawn for the eye.",
};
