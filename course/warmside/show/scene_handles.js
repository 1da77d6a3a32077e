// What can be grabbed on a stage: by mouse, by touch, by keyboard. A handle moves the control of its name, so that
// its steps and limits are those of the control's row.

const ICONS = {
  across: "M-4 -5l-5 5l5 5M4 -5l5 5l-5 5",
  upright: "M-5 -4l5 -5l5 5M-5 4l5 5l5 -5",
  cross: "M-5 -5L5 5M5 -5L-5 5",
  plus: "M-6 0H6M0 -6V6",
  minus: "M-6 0H6",
  turn: "M-6 2a6.5 6.5 0 1 1 2.2 4M-6.4 7.5v-5h5",
};
const STEPS = { ArrowLeft: -1, ArrowDown: -1, ArrowRight: 1, ArrowUp: 1, PageDown: -5, PageUp: 5 };
const SLACK = 3; // px that a press may wander and still be no pull
const OUT = 44; // px of pull across after which a part comes out

// `hand` has: row(name), numbers(), geometry(), scale() [px of the page over those of the stage], aim(names),
// grab(names), let_go(), holds(text).
function makeHandle(spec, hand) {
  const icon = element("span", { class: "warmside-icon", "aria-hidden": "true" });
  const made = element("div", { class: "warmside-handle", tabindex: "0", "data-handle": spec.name }, icon);
  const names = spec.toggle ? [spec.name, spec.toggle] : [spec.name];
  const isList = () => Boolean(hand.row(spec.name).control.options);
  const aim = () => hand.aim(names);
  const flip = (name) => {
    const row = hand.row(name);
    row.take(next(row, 1, true));
  };
  // The next place of a list, past those that aren't there now; at its end the same one, or the first.
  const next = (row, step, goesRound = false) => {
    const many = row.values.length;
    for (let place = row.read() + step; goesRound || (place >= 0 && place < many); place += step) {
      if (!spec.lacks?.(hand.numbers(), (place + many) % many)) return (place + many) % many;
    }
    return row.read();
  };
  const press = () => flip(spec.toggle ?? spec.name);
  // metres, kelvins or parts that the control shows, and back
  const si = (row) => {
    const { low, high, ends } = row.control;
    return mix(ends[0], ends[1], (row.read() - low) / (high - low));
  };
  const takeSi = (row, value) => {
    const { low, high, step, ends } = row.control;
    const shown = mix(low, high, clamp((value - ends[0]) / (ends[1] - ends[0]), 0, 1));
    if (Math.abs(shown - row.read()) > step / 2) row.take(shown);
  };
  let from = null; // where a pull began
  made.addEventListener("pointerenter", aim);
  made.addEventListener("focus", () => {
    aim();
    tell();
  });
  made.addEventListener("blur", () => hand.holds(null));
  made.addEventListener("pointerdown", (event) => {
    made.setPointerCapture(event.pointerId);
    made.focus({ preventScroll: true });
    hand.grab();
    const row = hand.row(spec.name);
    from = { x: event.clientX, y: event.clientY, si: isList() ? 0 : si(row), out: false, moved: 0 };
    event.preventDefault();
  });
  made.addEventListener("pointermove", (event) => {
    if (!from) return;
    const [dx, dy] = [(event.clientX - from.x) / hand.scale(), (event.clientY - from.y) / hand.scale()];
    from.moved = Math.max(from.moved, Math.hypot(dx, dy));
    if (from.moved > SLACK && spec.drop) {
      const stage = made.parentElement.getBoundingClientRect();
      const row = hand.row(spec.name);
      const place = spec.drop((event.clientX - stage.left) / hand.scale(), (event.clientY - stage.top) / hand.scale(), hand.numbers());
      if (place !== row.read()) row.take(place);
      tell();
    }
    if (from.moved <= SLACK || !spec.pull) return;
    const { axis, pixels } = typeof spec.pull === "function" ? spec.pull(hand.numbers()) : spec.pull;
    const across = Math.abs(axis === "x" ? dy : dx);
    if (spec.toggle && across > OUT && !from.out) {
      from.out = true;
      takeSi(hand.row(spec.name), from.si); // on its way it went a little along
      press();
    }
    if (!from.out && (!spec.toggle || hand.numbers()[spec.toggle])) {
      takeSi(hand.row(spec.name), from.si + (axis === "x" ? dx : dy) / pixels);
    }
    tell();
  });
  const letGo = () => {
    if (!from) return;
    const pressed = from.moved <= SLACK || (!spec.pull && !spec.drop && from.moved > 20);
    from = null;
    if (pressed && (spec.toggle || isList())) press();
    tell();
    hand.letGo();
  };
  made.addEventListener("pointerup", letGo);
  made.addEventListener("pointercancel", letGo);
  made.addEventListener("keydown", (event) => {
    const row = hand.row(spec.name);
    const { values } = row;
    const step = STEPS[event.key];
    if (step && isList()) row.take(next(row, Math.sign(step)));
    else if (step) row.take(row.read() + step * row.control.step);
    else if (event.key === "Home" || event.key === "End") row.take(values.at(event.key === "Home" ? 0 : -1));
    else if ((event.key === "Enter" || event.key === " ") && (spec.toggle || isList())) press();
    else return;
    event.preventDefault();
    tell();
  });

  const isOut = () => spec.toggle && !hand.numbers()[spec.toggle];
  const text = () => (isOut() ? "taken out" : hand.row(spec.name).text());
  // What is in the hand: its label, value and limits.
  function tell() {
    const { title, low, high, unit, options } = hand.row(spec.name).control;
    const limits = options ? options.join(", ") : `from ${low} to ${high} ${unit}`;
    hand.holds([title, text(), spec.hint ? `${limits}; ${spec.hint}` : limits]);
  }
  function show() {
    const [n, g] = [hand.numbers(), hand.geometry()];
    const row = hand.row(spec.name);
    const [x, y] = spec.at(n, g);
    made.style.left = `${(100 * x) / STAGE.width}%`;
    made.style.top = `${(100 * y) / STAGE.height}%`;
    made.hidden = Boolean(spec.hidden?.(n));
    const drawn = spec.icon(n);
    if (made.dataset.icon !== drawn) {
      made.dataset.icon = drawn;
      icon.innerHTML = `<svg viewBox="-14 -14 28 28"><circle r="12.6"/><path d="${ICONS[drawn]}"/></svg>`;
    }
    const { title, low, high, options } = row.control;
    const about = {
      role: "slider",
      "aria-label": spec.hint ? `${title}. ${spec.hint}` : title,
      "aria-valuemin": options ? 0 : low,
      "aria-valuemax": options ? options.length - 1 : high,
      "aria-valuenow": row.read(),
      "aria-valuetext": text(),
    };
    for (const [name, value] of Object.entries(about)) {
      if (made.getAttribute(name) !== String(value)) made.setAttribute(name, value);
    }
  }
  return { made, show };
}
