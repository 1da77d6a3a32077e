// What moves in a sealed unit: ammonia as gas and liquid, hydrogen with ammonia in it, strong and weak solution. As
// fast as the model's flows; of the marks in the hydrogen's round as many are ammonia as its part of the pressure.

const GAS_SPEED = 40 / 6.2e-5; // px/s for a kg/s, of ammonia
const HYDROGEN_SPEED = 34 / 6.8e-5;
const SOLUTION_SPEED = 30 / 3.4e-4;
const FAINT = 0.1; // of what isn't followed
const LOW = 5; // px below a tube's middle, where liquid runs

function movingFlows(canvas) {
  const context = canvas.getContext("2d");
  let seed = 7;
  const random = () => {
    seed = (seed * 16807) % 2147483647;
    return seed / 2147483647;
  };
  const marks = (many) => Array.from({ length: many }, (_, k) => ({ at: (k + 0.8 * random()) / many, aside: 2 * random() - 1, draw: random() }));
  const [gas, vented, hydrogen, strong, weak, coil, bubbles, slugs] = [54, 8, 250, 40, 34, 36, 30, 9].map(marks);
  const gone = { gas: 0, hydrogen: 0, strong: 0, weak: 0 };

  function dots(list, way, moved, radius, wide, shown) {
    context.beginPath();
    for (const mark of list) {
      const s = (((mark.at * way.long + moved) % way.long) + way.long) % way.long;
      if (!shown(mark, s)) continue;
      const [x, y, dx, dy] = way.at(s);
      const [left, top] = [x - dy * wide * mark.aside, y + dx * wide * mark.aside];
      context.moveTo(left + radius, top);
      context.arc(left, top, radius, 0, 6.2832);
    }
  }
  function dashes(corners, moved, colour, width, pattern, low = 0) {
    context.strokeStyle = colour;
    context.lineWidth = width;
    context.setLineDash(pattern);
    context.lineDashOffset = -moved;
    context.beginPath();
    corners.forEach(([x, y], k) => (k ? context.lineTo(x, y + low) : context.moveTo(x, y + low)));
    context.stroke();
    context.setLineDash([]);
  }
  // The first part of a row of corners, as long as `share` of it.
  function first(corners, share) {
    const way = along(corners);
    const end = way.long * share;
    const [x, y] = way.at(end);
    return [...corners.filter((_, k) => way.ends[k] < end), [x, y]];
  }
  const isSeen = (n, name) => (n.flow === "all" || n.flow === name ? 1 : FAINT);

  function ammonia(n) {
    const way = WAYS.gas;
    const seen = Math.sqrt(clamp(n.vapour_flow / 6.2e-5, 0, 1));
    context.globalAlpha = isSeen(n, "ammonia");
    context.fillStyle = AMMONIA;
    const left = (s) => 1 - n.condensed * clamp((s - way.ends[1]) / (way.long - way.ends[1]), 0, 1);
    dots(gas, way, gone.gas, 3, 5, (mark, s) => mark.draw < seen * left(s));
    context.fill();
    if (n.condensed < 0.97 && n.vapour_flow > 1e-6) {
      dots(vented, WAYS.vent, 2 * gone.gas, 2.4, 1.5, (mark) => mark.draw < 2 * (1 - n.condensed));
      context.fill();
    }
    if (n.condensate_flow < 5e-7) return;
    const pattern = [9, 6];
    const [right, end] = [mix(612, 352, 0.25), TUBES.gas[2]];
    dashes([[right, 100], end], gone.gas, LIQUID, 4, pattern, LOW);
    dashes(TUBES.liquid, gone.gas, LIQUID, 4.4, pattern);
    const inFreezer = partOf("round", 3, 5);
    dashes([[222, 128], [72, 128]], gone.gas, LIQUID, 4, pattern, LOW);
    dashes(first(inFreezer, clamp(n.freezer_wet * 1.02, 0, 1)), gone.gas, LIQUID, 4, pattern, LOW);
    if (n.freezer_wet > 0.02) dashes(first(partOf("round", 5, 9), clamp(n.food_wet * 1.02, 0, 1)), gone.gas, LIQUID, n.freezer_wet > 0.98 ? 4 : 2.4, pattern, LOW);
    if (n.unused > 5e-7) dashes(partOf("round", 9, 10), gone.gas, LIQUID, 1.6 + 2.4 * clamp(n.unused / 2e-5, 0, 1), pattern, 0);
  }

  // Ammonia's part of the pressure on the hydrogen's way: it rises in the coils and falls in the absorber.
  function shareAt(n, s) {
    const { ends } = WAYS.round;
    const through = ([from, to]) => clamp((s - ends[from]) / (ends[to] - ends[from]), 0, 1);
    const cold = mix(n.weak_share, n.freezer_share, through(ROUND.freezer));
    const rich = mix(cold, n.rich_share, through([5, 9]));
    return mix(rich, n.weak_share, through(ROUND.absorber));
  }
  function round(n) {
    const isAmmonia = (mark, s) => mark.draw < shareAt(n, s);
    context.globalAlpha = isSeen(n, "hydrogen");
    context.strokeStyle = "#ffffff";
    context.lineWidth = 1.4;
    dots(hydrogen, WAYS.round, gone.hydrogen, 2.9, 5.5, (mark, s) => !isAmmonia(mark, s));
    context.stroke();
    context.globalAlpha = Math.max(isSeen(n, "hydrogen"), isSeen(n, "ammonia"));
    context.fillStyle = AMMONIA;
    dots(hydrogen, WAYS.round, gone.hydrogen, 3.2, 5.5, isAmmonia);
    context.fill();
  }

  function solution(n, g) {
    context.globalAlpha = isSeen(n, "solution");
    const lifts = Math.sqrt(clamp(n.rich_flow / 3.4e-4, 0, 1));
    const level = ([left, right], y, bottom) => {
      // liquids stay level, however the unit stands
      const slope = -g.sin / g.cos;
      const middle = (left + right) / 2;
      context.beginPath();
      context.moveTo(left, bottom);
      context.lineTo(left, Math.min(y + (left - middle) * slope, bottom));
      context.lineTo(right, Math.min(y + (right - middle) * slope, bottom));
      context.lineTo(right, bottom);
      context.fill();
    };
    context.fillStyle = STRONG;
    level([232, 464], 496, 507);
    context.fillStyle = "#8fc9b4";
    level([583, 614], mix(430, 352, lifts), 485);
    level([630, 637], mix(430, 352, lifts), 485);
    dashes(TUBES.strong.slice(0, 3).concat([[622, 486]]), 0, STRONG, 8, []);
    dashes(TUBES.weak, gone.weak, WEAK, 4.4, [7, 7]);
    dashes(TUBES.coil, gone.weak, "#7fd3b4", 4, [7, 5], LOW);
    context.fillStyle = AMMONIA;
    dots(strong, WAYS.strong, gone.strong, 2.2, 2.4, (mark, s) => mark.draw < 2 * n.rich_fraction && s < WAYS.strong.ends[3] - 160);
    context.fill();
    dots(weak, WAYS.weak, gone.weak, 2, 2, (mark) => mark.draw < 2 * n.weak_fraction);
    context.fill();
    dots(coil, WAYS.coil, gone.weak, 2, 2, (mark, s) => mark.draw < 2 * mix(n.weak_fraction, n.rich_fraction, s / WAYS.coil.long));
    context.fill();
    // slugs of solution go up the pump, with gas between them
    const tall = 156;
    for (const slug of slugs) {
      if (slug.draw > lifts + 0.05) continue;
      const y = 486 - ((slug.at * tall + gone.strong * 1.4) % tall);
      context.fillStyle = STRONG;
      context.fillRect(617, y - 10, 10, 10);
      context.fillStyle = AMMONIA;
      context.beginPath();
      context.ellipse(622, y - 14.5, 4, 3.4, 0, 0, 6.2832);
      context.fill();
    }
    context.beginPath();
    for (const bubble of bubbles) {
      if (bubble.draw > clamp(n.vapour_flow / 6.2e-5, 0, 1)) continue;
      const y = 482 - ((bubble.at * 130 + gone.gas * 0.6) % 130);
      const x = 598 + bubble.aside * 12;
      context.moveTo(x + 2.2, y);
      context.arc(x, y, 2.2, 0, 6.2832);
    }
    context.fill();
  }

  function air(n, time) {
    context.globalAlpha = 1;
    for (let k = 0; k < 5; k += 1) dashes([[375 + k * 56, 140], [375 + k * 56, 72]], time * 20, "#b4581a", 2.4, [6, 5]);
  }
  let time = 0;
  function frame(n, g, seconds, still, scale) {
    time += seconds;
    gone.gas += seconds * GAS_SPEED * n.vapour_flow;
    gone.hydrogen += seconds * HYDROGEN_SPEED * n.hydrogen_flow;
    gone.strong += seconds * SOLUTION_SPEED * n.rich_flow;
    gone.weak += seconds * SOLUTION_SPEED * n.weak_flow;
    context.setTransform(scale, 0, 0, scale, 0, 0);
    context.clearRect(0, 0, UNIT_STAGE.width, UNIT_STAGE.height);
    const { cos, sin } = g;
    const [x, y] = MIDDLE;
    context.setTransform(scale * cos, scale * sin, -scale * sin, scale * cos, scale * (x - x * cos + y * sin), scale * (y - x * sin - y * cos));
    solution(n, g);
    round(n);
    ammonia(n);
    air(n, time);
    context.globalAlpha = 1;
  }
  return { frame };
}
