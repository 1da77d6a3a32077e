// The chart beside a scene: food over the air outside, with the cliff, the point now, the ghost of before, and a
// band that holds eight in ten plausible refrigerators.

const CHART = { width: 396, height: 180, left: 40, right: 18, top: 28, bottom: 44 };

function makeChart(page) {
  const holder = element("div", { class: "warmside-chart" });
  const { width, height, left, right, top, bottom } = CHART;
  const known = page.ambients;

  function draw(view, { before, band, system }) {
    const n = view.picture;
    const { ambients, foods, unit } = page.systems[system];
    const [coolest, hottest] = [ambients[0][0], ambients.at(-1)[0]];
    const [lowest, highest] = [foods[0][0], foods.at(-1)[0]];
    const x = (ambient) => left + (clamp(ambient, coolest, hottest) - coolest) / (hottest - coolest) * (width - left - right);
    const y = (food) => height - bottom - (clamp(food, lowest, highest) - lowest) / (highest - lowest) * (height - top - bottom);
    const line = (values) => {
      const seen = known.map((ambient, k) => [ambient, values[k]]).filter(([ambient]) => ambient >= coolest - 0.1 && ambient <= hottest);
      return seen.map(([ambient, food]) => `${px(x(ambient))} ${px(y(food))}`);
    };
    const limit = y(n.limit);
    const [low, high] = [y(lowest), y(highest)];
    const parts = [
      rect(left, high, width - left - right, limit - high, { fill: "#f6e3d6" }),
      rect(left, limit, width - left - right, low - limit, { fill: "#e2efe9" }),
      ...ambients.map(([at, text]) => path(`M${px(x(at))} ${px(low)}v5`) + letters(x(at), low + 23, text, { "text-anchor": "middle" })),
      ...foods.map(([at, text]) => letters(left - 7, y(at) + 6, text, { "text-anchor": "end" })),
      letters(2, 15, `Food, ${unit}`, { class: "warmside-strong" }),
      letters(width - 2, height - 3, `outside, ${unit}`, { "text-anchor": "end" }),
      letters(x(n.rated), 15, `rating ${n.rated_text}`, { "text-anchor": n.rated > hottest - 4 ? "end" : "middle" }),
      path(`M${px(x(n.rated))} ${px(low)}V${px(high)}`, { "stroke-width": 1.8, "stroke-dasharray": "2 5" }),
    ];
    if (band) {
      const [under, over] = band.map(line);
      parts.push(path(`M${under.join("L")}L${over.reverse().join("L")}z`, { fill: "#5b6874", opacity: 0.3, stroke: "none", class: "warmside-result" }));
    }
    parts.push(path(`M${left} ${px(limit)}H${width - right}`, { stroke: STEEL, "stroke-width": 1.6, "stroke-dasharray": "8 4" }));
    parts.push(letters(left + 8, limit - 8, `limit ${n.limit_text}`, { fill: "#7c2c00" }));
    const colour = n.good ? GOOD : BAD;
    const diamond = (at, size, more) => path(`M${px(x(at))} ${px(limit - size)}l${size} ${size}l-${size} ${size}l-${size} -${size}z`, more);
    if (before) {
      const old = before.picture;
      parts.push(path(`M${line(old.foods).join("L")}`, { stroke: "#5b6874", "stroke-width": 3, "stroke-dasharray": "7 6" }));
      if (old.holds) parts.push(diamond(old.holds, 8, { fill: "#ffffff", stroke: "#5b6874", "stroke-width": 2.2 }));
      parts.push(path(`M${left + 10} ${top + 16}h28`, { stroke: "#5b6874", "stroke-width": 3, "stroke-dasharray": "7 6" }));
      parts.push(letters(left + 44, top + 22, "before"));
    }
    const now = [
      path(`M${line(n.foods).join("L")}`, { stroke: colour, "stroke-width": 5, "stroke-linejoin": "round" }),
      n.holds ? diamond(n.holds, 10, { fill: colour, stroke: "#ffffff", "stroke-width": 2 }) : "",
      n.swing ? path(`M${px(x(n.ambient))} ${px(y(n.food_low))}V${px(y(n.food_high))}`, { stroke: "#0b5fa5", "stroke-width": 8, opacity: 0.5 }) : "",
      tag("circle", { cx: px(x(n.ambient)), cy: px(y(n.food)), r: 8, fill: "#ffffff", stroke: "#0b5fa5", "stroke-width": 4 }),
    ];
    parts.push(tag("g", { class: "warmside-result" }, now.join("")));
    holder.innerHTML = `<svg viewBox="0 0 ${width} ${height}" role="img">${parts.join("")}</svg>`;
    holder.firstChild.setAttribute("aria-label", `Food over the air outside. ${view.words}`);
  }
  return { holder, draw };
}
