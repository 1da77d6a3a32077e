// The chart of a cup's day: water and air with the limits, and in strips of their own the outside and the freezer. The
// air goes up and down with the thermostat, so it is a band with a thin line. A hand may go through the day on it.

const CUP_CHART = { left: 40, right: 106, outside: [24, 52], main: [56, 174], freezer: [180, 198], height: 220 };
const WATER = "#0b5fa5";
const AIR = "#6bb8e6";
const MERCURY = "#c0392b";
const BESIDE = ["rating", "sellers", "homes"]; // what the limits are for
const WIDEST_BAND = 6; // numbers of a series to both sides that the air's band takes in

function makeCupChart(page, { scrub }) {
  const holder = element("div", { class: "warmside-chart warmside-day" });
  const { left, right, height } = CUP_CHART;
  const { hours, minutes, begins } = page.day;
  let width = 400;
  let drawn = [];
  const x = (hour) => left + (hour / hours) * (width - left - right);
  const axis = ([top, bottom], low, high) => (value) => mix(bottom, top, (value - low) / (high - low));
  const along = (values, y) => values.map((value, k) => `${px(x((k * minutes) / 60))} ${px(y(value))}`);
  const line = (values, y, more) => path(`M${along(values, y).join("L")}`, { "stroke-linejoin": "round", ...more });
  const area = (low, high, y, more) => path(`M${along(low, y).join("L")}L${along(high, y).reverse().join("L")}z`, { stroke: "none", ...more });
  const around = (values, pick) => values.map((_, k) => pick(...values.slice(Math.max(k - WIDEST_BAND, 0), k + WIDEST_BAND + 1)));

  function strip(name, values, place, colour, degrees) {
    const [low, high] = [Math.min(...values), Math.max(...values)];
    const y = axis([place[0] + 3, place[1] - 3], low - 0.5, high + 0.5);
    const says = `${degrees(low, 0).split(" ")[0]} to ${degrees(high, 0)}`;
    const middle = (place[0] + place[1]) / 2 + 5.5;
    return [
      rect(left, place[0], width - left - right, place[1] - place[0], { fill: "#ece8de" }),
      tag("g", { class: "warmside-result" }, line(values, y, { stroke: colour, "stroke-width": 2.4 }) + letters(width - right + 6, middle, says)),
      letters(left + 6, middle, name, { class: "halo" }),
    ].join("");
  }

  function still(view, { before, band, system }) {
    const n = view.picture;
    const { temperatures, limits } = page.systems[system];
    const degrees = (kelvin, digits) => inDegrees(kelvin, page.systems[system], digits);
    const old = before?.picture;
    const low = Math.min(n.lowest, limits.at(-1)[0] - 2, old?.lowest ?? 999) - 0.5;
    const high = Math.max(n.highest, limits[0][0] + 8, old?.highest ?? 0) + 0.5;
    const y = axis(CUP_CHART.main, low, high);
    const [top, bottom] = CUP_CHART.main;
    const limit = y(n.limit);
    const across = width - left - right;
    const marks = temperatures.filter(([at]) => at > low && at < high);
    const every = Math.ceil((22 * marks.length) / (bottom - top));
    const beside = limits.map(([at]) => y(at));
    const middle = clamp(beside[1], top + 24, bottom - 28);
    const clock = (hour) => letters(x(hour), height - 2, oClock(hour, begins, system, true), { "text-anchor": "middle" });
    const parts = [
      rect(left, top, across, limit - top, { fill: "#f6e3d6" }),
      rect(left, limit, across, bottom - limit, { fill: "#e2efe9" }),
      ...marks.filter((_, k) => k % every === 0).map(([at, text]) => letters(left - 7, y(at) + 5.5, text, { "text-anchor": "end" })),
      ...[0, 6, 12, 18, 24].map((hour) => path(`M${px(x(hour))} ${CUP_CHART.freezer[1]}v5`) + clock(hour)),
      letters(2, 15, page.systems[system].unit, { class: "warmside-strong" }),
      ...[["water", WATER, 4.5], ["air", AIR, 9]].map(
        ([text, colour, thick], k) => path(`M${left + k * 92} 10h26`, { stroke: colour, "stroke-width": thick }) + letters(left + 32 + k * 92, 15, text),
      ),
      strip("outside", n.outside_air, CUP_CHART.outside, MERCURY, degrees),
      strip("freezer", n.freezer, CUP_CHART.freezer, "#31627f", degrees),
    ];
    const air = [area(around(n.air, Math.min), around(n.air, Math.max), y, { fill: AIR, opacity: 0.5 }), line(n.air, y, { stroke: "#3d8fc4", "stroke-width": 0.8, opacity: 0.7 })];
    parts.push(tag("g", { class: "warmside-result" }, air.join("")));
    limits.forEach(([, text], k) => {
      const label = middle + (k - 1) * 18;
      parts.push(path(`M${left} ${px(beside[k])}H${width - right}`, { stroke: INK, "stroke-width": 1.1, "stroke-dasharray": k ? "2 3" : "8 4" }));
      parts.push(path(`M${width - right} ${px(beside[k])}L${width - right + 10} ${px(label)}h4`, { stroke: STEEL }));
      parts.push(letters(width - right + 17, label + 5.5, `${text.split(" ")[0]} ${BESIDE[k]}`));
    });
    if (old) {
      parts.push(line(old.cup, y, { stroke: "#47535f", "stroke-width": 2.6, "stroke-dasharray": "7 6" }));
      parts.push(path(`M${left + 164} 10h28`, { stroke: "#47535f", "stroke-width": 2.6, "stroke-dasharray": "7 6" }) + letters(left + 198, 15, "before"));
    }
    const water = band ? area(...band, y, { fill: STEEL, opacity: 0.35 }) : "";
    parts.push(tag("g", { class: "warmside-result" }, water + line(n.cup, y, { stroke: WATER, "stroke-width": 4.5 })));
    parts.push(tag("g", { class: "warmside-now" }, ""));
    holder.innerHTML = `<svg viewBox="0 0 ${width} ${height}" role="img">${parts.join("")}</svg>`;
    return y;
  }

  let toY = null;
  function draw(view, told, hour) {
    const known = [view, told.before, told.band, told.system, width];
    if (known.some((one, k) => one !== drawn[k])) {
      toY = still(view, told);
      drawn = known;
    }
    const n = view.picture;
    const at = seriesAt(n.cup, hour, page.day);
    const [top, bottom] = [CUP_CHART.outside[0], CUP_CHART.freezer[1]];
    holder.querySelector(".warmside-now").innerHTML =
      path(`M${px(x(hour))} ${top}V${bottom}`, { stroke: GRAB, "stroke-width": 2 }) +
      tag("circle", { cx: px(x(hour)), cy: px(toY(at)), r: 7.5, fill: "#ffffff", stroke: WATER, "stroke-width": 4, class: "warmside-result" });
    holder.firstChild.setAttribute("aria-label", `Water and air over the day, with three limits. ${view.words}`);
  }

  const go = (event) => {
    const box = holder.firstChild.getBoundingClientRect();
    const place = ((event.clientX - box.left) / box.width) * width;
    scrub(clamp(((place - left) / (width - left - right)) * hours, 0, hours));
  };
  let pulled = false;
  holder.addEventListener("pointerdown", (event) => {
    pulled = true;
    holder.setPointerCapture(event.pointerId);
    go(event);
    event.preventDefault();
  });
  holder.addEventListener("pointermove", (event) => pulled && go(event));
  for (const end of ["pointerup", "pointercancel"]) holder.addEventListener(end, () => (pulled = false));

  // As wide as its place, so that its letters stay as large as the page's.
  function fit() {
    const size = parseFloat(getComputedStyle(holder).fontSize) / 16 || 1;
    const fits = Math.round(clamp(holder.clientWidth / size, 330, 640));
    const changed = fits !== width;
    width = fits;
    return changed;
  }
  return { holder, draw, fit };
}
