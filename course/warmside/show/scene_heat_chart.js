// The chart beside a meter: the boiler's heat against that of the plate, and what the food comes to with it.

const HEAT_CHART = { left: 64, right: 86, height: 142, rows: [22, 50, 78], bar: 18, food: 118 };

function makeHeatChart(page) {
  const holder = element("div", { class: "warmside-chart" });
  const { left, right, height, rows, bar, food } = HEAT_CHART;
  const [, hottest] = page.controls.US.find(({ name }) => name === "ambient").ends;
  let width = 400;

  function draw(view, { before }) {
    const n = view.picture;
    const old = before?.picture;
    const most = Math.max(n.plate, n.heat ?? 0, old?.heat ?? 0) * 1.02;
    const x = (watts) => left + (watts / most) * (width - left - right);
    const label = (k, text) => letters(left - 8, rows[k] + 14, text, { "text-anchor": "end" });
    const beside = (watts, k, text) => letters(x(watts) + 8, rows[k] + 14, text, { class: "halo" });
    const good = n.heat !== null && n.heat > 0.9 * n.plate;
    const parts = [
      letters(2, 14, "Heat of the boiler", { class: "warmside-strong" }),
      label(0, "plate"),
      rect(left, rows[0], x(n.plate) - left, bar, { fill: "#ffffff", stroke: INK, "stroke-width": 1.8 }),
      beside(n.plate, 0, n.plate_text),
      label(1, "now"),
      tag("g", { class: "warmside-result" }, rect(left, rows[1], x(n.heat ?? 0) - left, bar, { fill: good ? GOOD : BAD }) + beside(n.heat ?? 0, 1, n.known ? n.heat_text : "? W, not told")),
    ];
    if (old) {
      parts.push(label(2, "before"), rect(left, rows[2], x(old.heat ?? 0) - left, bar, { fill: "#e4e1d8", stroke: "#47535f", "stroke-width": 1.6, "stroke-dasharray": "6 4" }), beside(old.heat ?? 0, 2, old.heat_text));
    }
    const [low, high] = [273.15, hottest];
    const at = (kelvin) => mix(left, width - right, clamp((kelvin - low) / (high - low), 0, 1));
    parts.push(
      letters(left - 8, food + 6, "food", { "text-anchor": "end" }),
      rect(left, food - 5, at(n.limit) - left, 10, { fill: "#cfe5dc" }),
      rect(at(n.limit), food - 5, width - right - at(n.limit), 10, { fill: "#f0d3c0" }),
      path(`M${px(at(n.limit))} ${food - 11}v22`, { "stroke-width": 1.6, "stroke-dasharray": "4 3" }),
      letters(at(n.limit), food + 24, `limit ${n.limit_text}`, { "text-anchor": "middle" }),
    );
    if (old) parts.push(tag("circle", { cx: px(at(old.food)), cy: food, r: 6, fill: "#ffffff", stroke: "#47535f", "stroke-width": 2 }));
    parts.push(tag("g", { class: "warmside-result" }, tag("circle", { cx: px(at(n.food)), cy: food, r: 8, fill: n.food_good ? GOOD : BAD, stroke: "#ffffff", "stroke-width": 2 }) + letters(width - right + 8, food + 6, n.food_text, { class: "warmside-strong" })));
    holder.innerHTML = `<svg viewBox="0 0 ${width} ${height}" role="img" style="max-height:none">${parts.join("")}</svg>`;
    holder.firstChild.setAttribute("aria-label", `Heat of the boiler against the plate’s, and the food. ${view.words}`);
  }

  // As wide as its place, so that its letters stay as large as the page's.
  function fit() {
    const size = parseFloat(getComputedStyle(holder).fontSize) / 16 || 1;
    width = Math.round(clamp(holder.clientWidth / size, 330, 640));
  }
  return { holder, draw, fit };
}
