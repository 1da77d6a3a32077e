// Air behind a refrigerator that moves at the model's speed and is as warm as the model says. How much of it goes
// which way, how fast and how warm comes from the kernel. Drawn for the eye alone: where in its way a streak runs,
// how it bends, and the air that turns in an open space over the top.

const HEATS = [
  // what air so much above the outside looks like: a colour, and a dash as second cue
  ["#2f86cc", []],
  ["#6bb8e6", [16, 5]],
  ["#f1dc92", [9, 5]],
  ["#f39a35", [5, 5]],
  ["#e5532f", [1.5, 5.5]],
];
const COMES_FROM = 0.42; // m outside, where a streak begins
const TURN = 0.14; // m of way from the vent until it rises
const AFTER = 0.2; // m of way past the outlet

const mix = (one, other, part) => one + (other - one) * part;
const clamp = (value, low, high) => Math.min(Math.max(value, low), high);
const smooth = (low, high, value) => {
  const part = clamp((value - low) / (high - low), 0, 1);
  return part * part * (3 - 2 * part);
};

// The way of a streak: `u` from 0 at the cabinet to 1 at the wall, `s` metres from where it began.
function airWay(n, g) {
  const depth = g.wall - g.back;
  const speed = n.flow / n.width;
  const open = Math.max(g.ventOpen, 0.006);
  const out = Math.max(n.upper_vent * (1 - n.upper_blocked), 0.006);
  const isRoof = n.outlet === "roof";
  const narrow = n.baffle ? Math.min(n.baffle_gap, n.rear_gap) : n.rear_gap;
  const enters = (u) => g.vent + (0.08 + 0.84 * u) * open;
  const leaves = (u) => (isRoof ? n.outlet_height : n.outlet_height + n.upper_vent * (0.42 - 0.84 * u) * (out / n.upper_vent));
  const among = (h) => smooth(n.fins - 0.16, n.fins, h) * (1 - smooth(n.fins_top, n.fins_top + 0.09, h));

  function lane(u, h) {
    const free = g.back + (0.06 + 0.88 * u) * depth;
    const part = among(h);
    if (part === 0) return free;
    if (u < n.through) return mix(free, g.back + 0.004 + (u / n.through) * (n.fin_depth - 0.008), part);
    const gap = mix(narrow, n.rear_gap, smooth(n.fins, n.fins_top, h));
    const place = (u - n.through) / Math.max(1 - n.through, 1e-6);
    return mix(free, g.back + n.fin_depth + (0.12 + 0.76 * place) * gap, part);
  }

  // Where it is and how warm: writes x and h [m] and the rise over the outside [K] into `at`.
  function place(u, s, at) {
    const below = enters(u);
    if (s < COMES_FROM) {
      const part = smooth(0, 1, s / COMES_FROM);
      at[0] = g.wall + COMES_FROM - s;
      at[1] = mix(0.04 + 0.24 * u, below, part * part);
      at[2] = n.inlet - n.ambient;
      return;
    }
    const way = s - COMES_FROM;
    if (way < TURN) {
      const part = way / TURN;
      at[0] = mix(g.wall, lane(u, below + 0.1), 1 - (1 - part) * (1 - part));
      at[1] = below + 0.1 * part * part;
    } else {
      at[1] = below + 0.1 + way - TURN;
      leave(u, at);
    }
    at[2] = n.inlet - n.ambient;
    if (u >= n.near) return; // what touches no tube stays as it came in
    at[2] += (n.below - n.inlet) * clamp((at[1] - 0.12) / (n.fins - 0.12), 0, 1);
    at[2] += (n.above - n.below) * smooth(n.fins, n.fins_top, at[1]);
  }

  function leave(u, at) {
    const h = at[1];
    const end = leaves(u);
    at[0] = lane(u, h);
    if (isRoof) {
      const middle = g.back + depth / 2;
      at[0] = mix(at[0], middle + (u - 0.5) * out * 0.86, smooth(g.ceiling - 0.12, g.ceiling, h));
      const beyond = h - end;
      if (beyond > 0) {
        // under the cap and off to both sides
        at[0] += Math.sign(u - 0.5) * beyond * 0.7;
        at[1] = end + 0.05 * (1 - Math.exp(-beyond / 0.05)) + beyond * 0.1;
      }
    } else {
      const beyond = h - end + 0.06;
      if (beyond > 0) {
        const part = Math.min(beyond / 0.12, 1);
        at[0] = beyond < 0.12 ? mix(lane(u, end), g.wall, part * part) : g.wall + beyond - 0.12;
        at[1] = beyond < 0.12 ? end - 0.06 + 0.06 * (1 - (1 - part) * (1 - part)) : end + (beyond - 0.12) ** 2 * 1.5;
      }
    }
  }

  // Metres a second, from the flow and the depth that it has there.
  function speedAt(u, s) {
    if (s < COMES_FROM) {
      const part = smooth(0, 1, s / COMES_FROM);
      return speed / mix(0.3, open, part * part);
    }
    if (s < COMES_FROM + TURN) return speed / mix(open, depth, (s - COMES_FROM) / TURN);
    const h = enters(u) + 0.1 + s - COMES_FROM - TURN;
    if (h > leaves(u) - 0.05) return speed / out;
    const part = among(h);
    if (part === 0) return speed / depth;
    const share = u < n.through ? (n.through * n.width) / n.fin_area : (1 - n.through) / mix(n.past_gap, n.rear_gap, smooth(n.fins, n.fins_top, h));
    return mix(speed / depth, speed * share, part);
  }

  const length = (u) => COMES_FROM + TURN + leaves(u) - enters(u) - 0.1 + AFTER;
  return { place, speedAt, length, lensFrom: (u) => COMES_FROM + TURN + n.fins - 0.12 - enters(u) - 0.1 };
}

const STREAKS = 230;
const LENS_STREAKS = 110;
const LENS_WAY = 0.36; // m of way that the close-up shows
const POOL_STREAKS = 46;

// Streaks on a canvas over a stage; `frame` moves them on by some seconds and draws.
function airOn(canvas, stage, heatStep) {
  const context = canvas.getContext("2d");
  let seed = 7;
  const random = () => (seed = (seed * 16807) % 2147483647) / 2147483647;
  const spread = (count, far) => Array.from({ length: count }, (_, k) => ({ u: (k * 0.618034) % 1, s: random() * far }));
  const streaks = spread(STREAKS, 2.2);
  const close = spread(LENS_STREAKS, LENS_WAY);
  const pool = Array.from({ length: POOL_STREAKS }, () => ({ r: 0.15 + 0.85 * Math.sqrt(random()), a: random() * 6.28, p: random() }));
  const buckets = HEATS.map(() => []);
  const at = [0, 0, 0];
  const heat = (rise) => clamp(Math.round(rise / heatStep), 0, HEATS.length - 1);

  function strokes(list, way, toX, toY, offset, thick, still) {
    for (const bucket of buckets) bucket.length = 0;
    for (const { u, s } of list) {
      const from = s + offset(u);
      way.place(u, from, at);
      const line = [toX(at[0]), toY(at[1])];
      const into = buckets[heat(at[2])];
      const long = clamp(way.speedAt(u, from) * 0.16, 0.014, 0.09) * (offset(u) ? 0.6 : 1);
      for (let k = 1; k <= 3; k += 1) {
        way.place(u, Math.max(from - (long * k) / 3, 0), at);
        line.push(toX(at[0]), toY(at[1]));
      }
      into.push(line);
    }
    buckets.forEach((lines, number) => {
      const [colour, dash] = HEATS[number];
      context.strokeStyle = context.fillStyle = colour;
      context.lineWidth = thick;
      context.setLineDash(dash.map((each) => (each * thick) / 2.8));
      context.beginPath();
      for (const line of lines) {
        context.moveTo(line[0], line[1]);
        for (let k = 2; k < 8; k += 2) context.lineTo(line[k], line[k + 1]);
      }
      context.stroke();
      if (still) heads(lines, thick);
    });
    context.setLineDash([]);
  }

  // Arrowheads, where nothing moves.
  function heads(lines, thick) {
    context.beginPath();
    for (const [x, y, x1, y1] of lines) {
      const long = Math.hypot(x - x1, y - y1) || 1;
      const [dx, dy] = [((x - x1) / long) * thick * 1.7, ((y - y1) / long) * thick * 1.7];
      context.moveTo(x + dx * 1.4, y + dy * 1.4);
      context.lineTo(x - dy, y + dx);
      context.lineTo(x + dy, y - dx);
      context.closePath();
    }
    context.fill();
  }

  function poolOver(n, g, seconds) {
    const [colour, dash] = HEATS[heat(n.pocket - n.ambient)];
    const [low, high] = [n.side_height, n.pocket_open ? g.ceiling : n.side_height + n.top_gap];
    const [mid, half] = [(low + high) / 2, (high - low) * 0.42];
    context.strokeStyle = colour;
    context.lineWidth = 2.8;
    context.setLineDash(dash);
    context.beginPath();
    for (const one of pool) {
      one.a += seconds * (0.35 + 0.25 * one.p);
      for (let k = 0; k < 4; k += 1) {
        const angle = one.a - k * 0.09;
        const x = stage.x(g.back * 0.53 + g.back * 0.44 * one.r * Math.cos(angle));
        const y = stage.y(mid + half * one.r * Math.sin(angle));
        if (k) context.lineTo(x, y);
        else context.moveTo(x, y);
      }
    }
    context.stroke();
    context.setLineDash([]);
  }

  function frame(n, g, seconds, still, scale) {
    const way = airWay(n, g);
    for (const one of streaks) {
      one.s += way.speedAt(one.u, one.s) * seconds;
      if (one.s > way.length(one.u)) {
        one.s = random() * 0.12;
        one.u = random();
      }
    }
    for (const one of close) {
      one.s += way.speedAt(one.u, one.s + way.lensFrom(one.u)) * seconds;
      if (one.s > LENS_WAY) {
        one.s = random() * 0.02;
        one.u = random();
      }
    }
    context.setTransform(scale, 0, 0, scale, 0, 0);
    context.clearRect(0, 0, stage.width, stage.height);
    context.lineCap = context.lineJoin = "round";
    if (g.topOpen) poolOver(n, g, seconds);
    strokes(streaks, way, stage.x, stage.y, () => 0, 2.6, still);
    const { lens } = stage;
    context.save();
    context.beginPath();
    context.roundRect(lens.x, lens.y, lens.width, lens.height, 14);
    context.clip();
    strokes(close, way, (x) => lens.toX(x, g), (h) => lens.toY(h, n), way.lensFrom, 4.2, still);
    context.restore();
  }
  return { frame };
}
