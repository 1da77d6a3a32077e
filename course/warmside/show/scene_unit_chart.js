// The chart beside a sealed unit: ammonia's pressure line, where it turns liquid at the whole pressure, and where it
// boils at its own part of it.

const LINE_CHART = { left: 44, right: 16, height: 186, top: 28, bottom: 30 };

function makeLineChart(page) {
  const holder = element("div", { class: "warmside-chart warmside-line-chart" });
  const { left, right, height, top, bottom } = LINE_CHART;
  let width = 400;

  function draw(view, { before, system }) {
    const n = view.picture;
    const { unit, degrees, temperatures, pressures } = page.systems[system];
    const [coldest, hottest] = [page.line[0][0], page.line.at(-1)[0]];
    const most = pressures.at(-1)[0];
    const x = (kelvin) => mix(left, width - right, clamp((kelvin - coldest) / (hottest - coldest), 0, 1));
    const y = (pascals) => mix(height - bottom, top, clamp(pascals / most, 0, 1));
    const dot = ([kelvin, pascals], size, more) => tag("circle", { cx: px(x(kelvin)), cy: px(y(pascals)), r: size, "stroke-width": 2.4, ...more });
    const square = ([kelvin, pascals], size, more) => rect(x(kelvin) - size, y(pascals) - size, 2 * size, 2 * size, { "stroke-width": 2.4, ...more });
    const line = page.line.filter(([, pascals]) => pascals <= most).map(([kelvin, pascals]) => `${px(x(kelvin))} ${px(y(pascals))}`);
    const whole = y(n.pressure);
    const seen = temperatures.filter(([kelvin]) => kelvin >= coldest - 1 && kelvin <= hottest);
    const parts = [
      letters(2, 14, `Ammonia boils or turns liquid, ${unit}`, { class: "warmside-strong" }),
      ...seen.map(([kelvin]) => path(`M${px(x(kelvin))} ${height - bottom}v5`)),
      ...seen.slice(0, -1).map(([kelvin, text]) => letters(x(kelvin), height - bottom + 22, text, { "text-anchor": "middle" })),
      letters(Math.min(x(seen.at(-1)[0]) + 30, width - 2), height - bottom + 22, `${seen.at(-1)[1]} ${degrees}`, { "text-anchor": "end" }),
      ...pressures.map(([pascals, text]) => letters(left - 7, y(pascals) + 6, text, { "text-anchor": "end" })),
      path(`M${left} ${height - bottom}H${width - right}`, { "stroke-width": 1.4 }),
      path(`M${line.join("L")}`, { stroke: GOOD, "stroke-width": 4 }),
    ];
    if (before) {
      const old = before.picture;
      const pale = { fill: "#ffffff", stroke: "#5b6874", "stroke-dasharray": "3 2" };
      parts.push(dot([old.condensing, old.pressure], 6, pale));
      if (!old.fails) parts.push(dot(old.boils.freezer, 6, pale), square(old.boils.food, 5, pale));
    }
    const isRoom = width - right - x(n.condenser_air) > 130;
    const now = [
      path(`M${left} ${px(whole)}H${width - right}`, { "stroke-width": 2 }),
      path(`M${px(x(n.condenser_air))} ${height - bottom}V${px(whole)}`, { stroke: BAD, "stroke-width": 2, "stroke-dasharray": "6 4" }),
      dot([n.condensing, n.pressure], 8, { fill: "#ffffff", stroke: BAD, "stroke-width": 4 }),
      letters(left + 6, whole + (whole > top + 26 ? -8 : 20), `whole ${n.pressure_text}: liquid below ${n.condensing_text}`, { class: "halo" }),
      letters(x(n.condenser_air) + (isRoom ? 6 : -6), height - bottom - 7, `fins’ air ${n.air_text}`, { class: "halo", "text-anchor": isRoom ? "start" : "end", fill: "#7c2c00" }),
    ];
    const below = whole + (whole > top + 26 ? 26 : 44);
    if (n.fails) now.push(letters(left + 6, below, "its coils: no number, it fails", { class: "halo" }));
    else {
      const cold = { fill: "#ffffff", stroke: "#0b5fa5", "stroke-width": 4 };
      now.push(dot(n.boils.freezer, 6, cold), square(n.boils.food, 5, cold));
      now.push(tag("circle", { cx: left + 13, cy: px(below - 5), r: 5, ...cold }), letters(left + 25, below, `freezer’s coil ${n.boils.freezer_told}`, { class: "halo" }));
      now.push(rect(left + 9, below + 11, 9, 9, cold), letters(left + 25, below + 21, `food’s coil ${n.boils.food_told}`, { class: "halo" }));
    }
    parts.push(tag("g", { class: "warmside-result" }, now.join("")));
    holder.innerHTML = `<svg viewBox="0 0 ${width} ${height}" role="img" style="max-height:none">${parts.join("")}</svg>`;
    holder.firstChild.setAttribute("aria-label", `Ammonia’s pressure line. Whole pressure ${n.pressure_text}, turns liquid below ${n.condensing_text}. ${view.words}`);
  }

  // As wide as its place, so that its letters stay as large as the page's.
  function fit() {
    const size = parseFloat(getComputedStyle(holder).fontSize) / 16 || 1;
    width = Math.round(clamp(holder.clientWidth / size, 330, 640));
  }
  return { holder, draw, fit };
}
