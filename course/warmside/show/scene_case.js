// The picture of a case: a refrigerator of its size as it usually stands, and where each part of it is read. How the
// one of the case stands isn't drawn: that is what a reading tells.

const CASE = { shift: 124, left: { x: 4, width: 152 }, right: { x: 408, width: 280 }, top: 4, bottom: 592 };
const INDOORS = 148; // px; where the room before the refrigerator begins to be drawn
const caseX = (metres) => STAGE.x(metres) + CASE.shift;

function caseNumbers(sizes) {
  const usual = { baffle: false, lower_blocked: 0, upper_blocked: 0, top_gap: 0, pocket_open: false, fan: "none", wind: "calm", food: 280 };
  return { ...usual, ...sizes };
}

// Where a spot's part is on the stage [px], and on which side its name stands; in the order from top to bottom.
function caseSpots(n, g) {
  const { y } = STAGE;
  const unit = drawnUnit(n, g.back).heights;
  const cabinet = drawnCabinet(n, g.back);
  const [tube, food] = [caseX(g.back) + 18, cabinet.food];
  const inside = cabinet.behind + CASE.shift;
  const left = (at) => ({ side: "left", at });
  const right = (at) => ({ side: "right", at });
  return {
    top: left([caseX(0.1), y(mix(n.side_height, g.ceiling, 0.4))]),
    control: left([caseX(0) + 6, y(n.side_height) + 9]),
    freezer: left([caseX(0.14), cabinet.freezer.top + 46]),
    frost: left([inside - 30, food.top + 34]),
    sensor: left([inside - 40, food.top + 66]),
    cup: left([caseX(0.345), cabinet.shelves[1] - 14]),
    seal: left([caseX(0) + 15, food.bottom - 62]),
    food: left([caseX(0.16), food.bottom - 14]),
    roof: right([caseX(g.middle), y(n.outlet_height) - 6]),
    wind: right([caseX(g.middle) + 34, y(n.outlet_height) + 6]),
    fan: right([caseX(g.middle), y(n.fins_top + 0.14)]),
    sides: right(null),
    condenser: right([caseX(g.back) + 13, y(mix(n.fins, n.fins_top, 0.5))]),
    baffle: right([caseX(g.wall) - 3, y(n.fins - 0.05)]),
    absorber: right([caseX(g.back) + 9, y(unit.absorber)]),
    boiler: right([tube + 2, y(unit.boiler)]),
    heater: right([tube + 2, y(n.fins * 0.24)]),
    burner: right([tube + 2, y(n.fins * 0.17)]),
    vent: right([caseX(g.wall) + 3, y(VENT + n.lower_vent / 2)]),
    supply: right([caseX(g.wall) + 8, y(0.02)]),
    cylinder: right([caseX(g.wall) + 8, y(0.02)]),
    level: right([caseX(g.wall) - 12, STAGE.floor + 5]),
  };
}

// The rows in which the names of spots stand, spread evenly over the height.
function caseRows(spots, names) {
  const rows = {};
  for (const side of ["left", "right"]) {
    const here = Object.keys(spots).filter((name) => names.includes(name) && spots[name].side === side);
    const high = (CASE.bottom - CASE.top) / here.length;
    here.forEach((name, k) => {
      rows[name] = { ...CASE[side], y: CASE.top + k * high, height: high, side, at: spots[name].at };
    });
  }
  return rows;
}

function drawnCupOfWater(left, shelf) {
  const glass = (high) => `M${left + 2} ${px(shelf - high)}L${left + 5} ${px(shelf - 2)}h16l3 ${px(2 - high)}`;
  return (
    path(`${glass(24)}z`, { fill: "#7db4de", stroke: "none" }) +
    path(glass(32), { stroke: "#3c5468", "stroke-width": 2.2 }) +
    path(`M${left + 10} ${px(shelf - 6)}l8 -38`, { stroke: "#ffffff", "stroke-width": 5, "stroke-linecap": "round" }) +
    path(`M${left + 10} ${px(shelf - 6)}l8 -38`, { stroke: BAD, "stroke-width": 2.4 })
  );
}

function caseStage(n, g, rows) {
  const { y, floor, width, height } = STAGE;
  const [back, wall, roof] = [STAGE.x(g.back), STAGE.x(g.wall), y(g.ceiling)];
  const food = (left, shelves, bottom) => drawnFood(left, shelves, bottom) + drawnCupOfWater(left + 66, shelves[1]);
  const cabinet = drawnCabinet(n, g.back, STAGE, food);
  const fan = { cx: px(STAGE.x(g.middle)), cy: px(y(n.fins_top + 0.14)) };
  const shifted = [
    rect(INDOORS - CASE.shift, roof, back - INDOORS + CASE.shift, floor - roof, { fill: "#efebe2" }),
    rect(back, roof, wall - back, floor - roof, { fill: WELL }),
    drawnTop(n, g),
    cabinet.drawn,
    tag("circle", { cx: STAGE.front + 6, cy: px(y(n.side_height) + 9), r: 5, fill: "#ffffff", stroke: INK, "stroke-width": 2 }),
    rect(cabinet.behind - 46, cabinet.food.top + 60, 12, 12, { rx: 2, fill: "#ffffff", stroke: INK, "stroke-width": 1.6 }),
    drawnUnit(n, g.back, STAGE, false).drawn,
    drawnFins(n, g, STAGE.x, y, 5, 1.4),
    drawnBaffle(n, g, STAGE.x, y, 8),
    tag("ellipse", { ...fan, rx: 10, ry: 3.2, fill: "none", stroke: "#ffffff", "stroke-width": 1.6, "stroke-dasharray": "3 3" }),
    drawnWalls(n, g),
  ];
  const leaders = Object.values(rows).filter(({ at }) => at).map(({ x, y: top, width: wide, side, at }) => {
    const [from, level] = [side === "left" ? x + wide : x, top + 20];
    const turn = side === "left" ? from + 8 : from - 8;
    return (
      path(`M${px(at[0])} ${px(at[1])}L${px(turn)} ${px(level)}H${px(from)}`, { stroke: "#ffffff", "stroke-width": 3.4, opacity: 0.75 }) +
      path(`M${px(at[0])} ${px(at[1])}L${px(turn)} ${px(level)}H${px(from)}`, { stroke: "#5b6874", "stroke-width": 1.4 }) +
      tag("circle", { cx: px(at[0]), cy: px(at[1]), r: 3.4, fill: "#ffffff", stroke: GRAB, "stroke-width": 2.2 })
    );
  });
  return [
    `<defs><pattern id="${g.id}-hatch" width="9" height="9" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">
    <path d="M0 0V9" stroke="#b59b5c" stroke-width="2"/></pattern></defs>`,
    tag("clipPath", { id: `${g.id}-indoors` }, rect(INDOORS, 0, width - INDOORS, height)),
    rect(0, 0, width, height, { rx: 12, fill: "#e6edf1" }),
    tag("g", { "clip-path": `url(#${g.id}-indoors)` }, tag("g", { transform: `translate(${CASE.shift} 0)` }, shifted.join(""))),
    leaders.join(""),
  ].join("");
}
