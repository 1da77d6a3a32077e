// A lab's page: controls, the finding in words, the picture. It holds no physics; every view comes from the
// kernel. While two questions are out, only the newest of each control waits, so that nothing lags behind the hand.
// Where the kernel makes views ahead of the hand, a control that has the focus finds them here already.

const REST = 350; // ms without a move after which details are asked for
const MOST_OUT = 2; // questions on their way: the next one leaves before the last one's answer is back
const FEW = 2; // views asked for at first ahead of the hand, so that a hand already on its way waits little
const SOME = 8; // and then at a time

function element(tag, attributes, ...children) {
  const made = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) made.setAttribute(name, value);
  made.append(...children);
  return made;
}

function button(text, pressed) {
  const made = element("button", { type: "button" }, text);
  made.addEventListener("click", pressed);
  return made;
}

function sliderRow(control, id, moved) {
  const limits = { min: control.low, max: control.high, step: control.step };
  const steps = Math.round((control.high - control.low) / control.step);
  const place = (step) => Number((control.low + step * control.step).toFixed(6));
  const slider = element("input", { type: "range", id, ...limits });
  const box = element("input", { type: "number", "aria-label": control.label, ...limits });
  const take = (value, other) => {
    if (!Number.isFinite(value)) return;
    const within = Math.min(Math.max(value, control.low), control.high);
    const stepped = place(Math.round((within - control.low) / control.step));
    other.value = stepped;
    moved(stepped);
  };
  slider.addEventListener("input", () => take(slider.valueAsNumber, box));
  box.addEventListener("change", () => {
    take(box.valueAsNumber, slider);
    box.value = slider.value;
  });
  const show = (value) => {
    slider.value = value;
    box.value = value;
  };
  const values = Array.from({ length: steps + 1 }, (_, step) => place(step));
  const away = (value) => Math.abs(value - slider.valueAsNumber);
  const label = element("label", { for: id }, control.label);
  return { row: element("div", { class: "warmside-row" }, label, slider, box), show, values, away };
}

function optionsRow(control, id, moved) {
  const list = element("select", { id });
  control.options.forEach((text, index) => list.append(element("option", { value: index }, text)));
  list.addEventListener("change", () => moved(list.selectedIndex));
  const show = (index) => {
    list.selectedIndex = index;
  };
  const values = control.options.map((_, index) => index);
  const away = (index) => Math.abs(index - list.selectedIndex);
  const label = element("label", { for: id }, control.label);
  return { row: element("div", { class: "warmside-row" }, label, list), show, values, away };
}

// Save what is drawn as a file: a PNG as it is, an SVG as the picture that it is.
function savePicture(holder) {
  const drawn = holder.firstElementChild;
  const svg = drawn?.tagName.toLowerCase() === "svg";
  if (!svg && drawn?.tagName !== "IMG") return; // it says that there is none
  const href = svg
    ? `data:image/svg+xml;charset=utf-8,${encodeURIComponent(drawn.outerHTML)}`
    : drawn.getAttribute("src");
  element("a", { href, download: svg ? "lab.svg" : "lab.png" }).click();
}

function render({ model, el }) {
  const page = model.get("page");
  const prefix = `warmside-${Math.random().toString(36).slice(2)}`;
  // JupyterLab would take arrow keys, Enter and letters for its own commands; saving and running stay its own.
  el.addEventListener("keydown", (event) => {
    const command = event.ctrlKey || event.metaKey || event.altKey || (event.shiftKey && event.key === "Enter");
    if (!command) event.stopPropagation();
  });
  el.classList.add("warmside-lab");

  const waiting = [];
  let asked = 0;
  let answered = 0;
  let rest = 0;
  let unsaid = null; // a move whose view was here already: the kernel hears of it when the hand rests
  let ahead = null; // the control in focus, its views that are here, and its values that still have none
  let rounds = 0;
  const tell = () => {
    if (unsaid) waiting.push(unsaid);
    unsaid = null;
  };
  const ask = (question) => {
    clearTimeout(rest);
    tell();
    if (question.name && waiting.at(-1)?.name === question.name) waiting.pop();
    if (!question.details && question.name !== ahead?.name) ahead = null; // what its views were for is no more
    waiting.push(question);
    send();
  };
  const send = () => {
    while (waiting.length && asked - answered < MOST_OUT) {
      asked += 1;
      model.send({ ...waiting.shift(), serial: [prefix, asked] });
    }
    lookAhead();
  };
  const lookAhead = () => {
    const known = waiting.every((question) => question.details || question.name === ahead?.name);
    if (!ahead?.left.length || ahead.out || !known) return;
    const { name, system, views, left } = ahead;
    const { away } = rows[system][name];
    left.sort((one, other) => away(one) - away(other));
    ahead.out = left.splice(0, views.size ? SOME : FEW);
    model.send({ ahead: { name, values: ahead.out }, serial: [prefix, ahead.round] });
  };
  const aim = (name, system) => {
    if (ahead?.name === name) return;
    tell();
    rounds += 1;
    ahead = { name, system, round: rounds, views: new Map(), left: [...rows[system][name].values], out: null };
    send();
  };
  const move = (name, value, system) => {
    const view = ahead?.name === name && ahead.views.get(value);
    if (!view) return ask({ name, value, system });
    unsaid = { name, value, system };
    showView(view, system);
    restSoon();
  };

  const panels = {};
  const rows = {};
  for (const system of Object.keys(page.controls)) {
    rows[system] = {};
    panels[system] = element("div", { class: "warmside-controls" });
    if (page.controls[system].length > 8) panels[system].classList.add("warmside-many");
    page.controls[system].forEach((control, number) => {
      const make = control.options ? optionsRow : sliderRow;
      const made = make(control, `${prefix}-${system}-${number}`, (value) => move(control.name, value, system));
      if (page.ahead) made.row.addEventListener("focusin", () => aim(control.name, system));
      rows[system][control.name] = made;
      panels[system].append(made.row);
    });
  }

  const situations = element("div", { class: "warmside-buttons", role: "group", "aria-label": "Situations to load" });
  for (const name of page.situations) situations.append(button(name, () => ask({ situation: name })));

  const picture = element("div", { class: "warmside-picture" });
  const buttons = element("div", { class: "warmside-buttons" });
  const systems = {};
  for (const system of Object.keys(page.controls)) {
    systems[system] = button(`${system} units`, () => ask({ system }));
    buttons.append(systems[system]);
  }
  if (page.compares) {
    buttons.append(button("Keep as “before”", () => ask({ keep: true })));
    buttons.append(button("Drop “before”", () => ask({ keep: false })));
  }
  buttons.append(button("Save the picture", () => savePicture(picture)));
  buttons.append(button("Back to the start", () => ask({ reset: true })));

  const line = element("input", { type: "text", id: `${prefix}-line`, spellcheck: "false" });
  line.addEventListener("change", () => ask({ line: line.value }));
  const lineLabel = element("label", { for: line.id }, "All of it in one line, to copy; or paste one and press Enter");
  const words = element("p", { role: "status" });
  const details = element("div", { class: "warmside-details" });
  // The picture stays in view as far as its controls go, and lies over nothing that comes after them.
  const moved = element("div", {}, picture, ...Object.values(panels));
  el.append(situations, words, moved, buttons, details);
  el.append(element("div", { class: "warmside-line" }, lineLabel, line));

  let shown = "";
  const showPicture = (html) => {
    if (html === shown) return;
    shown = html;
    const fresh = element("template", {});
    fresh.innerHTML = html;
    const [one, other] = [picture.firstElementChild, fresh.content.firstElementChild];
    if (one?.tagName === "IMG" && other?.tagName === "IMG") {
      one.src = other.src; // the old picture stays until the new one is there: no flicker
      one.alt = other.alt;
    } else {
      picture.replaceChildren(fresh.content);
    }
  };
  // What a hand still moves is not set back, or it would lose steps.
  const setAll = ({ system, values }) => {
    const moving = new Set(waiting.map((question) => question.name));
    for (const [name, value] of Object.entries(values)) if (!moving.has(name)) rows[system][name].show(value);
  };
  const showView = (view, system) => {
    words.textContent = view.words;
    showPicture(view.picture);
    for (const [name, { row }] of Object.entries(rows[system])) row.hidden = view.hidden.includes(name);
  };
  const restSoon = () => {
    clearTimeout(rest);
    rest = setTimeout(() => ask({ details: true }), REST);
  };
  const show = (given, shows) => {
    if (shows === "details") {
      details.innerHTML = given.details;
      if (!line.matches(":focus")) line.value = given.line; // else somebody is about to paste
      return;
    }
    if (!unsaid) showView(given, given.system); // else the hand is further on
    for (const [name, panel] of Object.entries(panels)) panel.hidden = name !== given.system;
    for (const [name, chosen] of Object.entries(systems)) {
      chosen.setAttribute("aria-pressed", String(name === given.system));
    }
    if (given.set_all) setAll(given);
    restSoon();
  };
  model.on("change:answer", () => {
    const given = model.get("answer");
    const ours = given.serial[0] === prefix; // else another view of this lab asked
    if (ours) answered = given.serial[1];
    else ahead = null;
    show(given, given.shows);
    send();
  });
  model.on("msg:custom", ({ serial, views }) => {
    if (serial[0] !== prefix || serial[1] !== ahead?.round) return;
    ahead.out.forEach((value, number) => ahead.views.set(value, views[number]));
    ahead.out = null;
    lookAhead();
  });
  show({ ...model.get("answer"), set_all: true }, "picture");
}

export default { render };
