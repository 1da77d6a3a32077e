// A lab's page: controls, the finding in words, the picture. It holds no physics; every answer comes from the
// kernel. While two questions are out, only the newest of each control waits, so that nothing lags behind the hand.

const REST = 350; // ms without a move after which details are asked for
const MOST_OUT = 2; // questions on their way: the next one leaves before the last one's answer is back

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
  const slider = element("input", { type: "range", id, ...limits });
  const box = element("input", { type: "number", "aria-label": control.label, ...limits });
  const take = (value, other) => {
    if (!Number.isFinite(value)) return;
    const within = Math.min(Math.max(value, control.low), control.high);
    const steps = Math.round((within - control.low) / control.step);
    const stepped = Number((control.low + steps * control.step).toFixed(6));
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
  const label = element("label", { for: id }, control.label);
  return { row: element("div", { class: "warmside-row" }, label, slider, box), show };
}

function optionsRow(control, id, moved) {
  const list = element("select", { id });
  control.options.forEach((text, index) => list.append(element("option", { value: index }, text)));
  list.addEventListener("change", () => moved(list.selectedIndex));
  const show = (index) => {
    list.selectedIndex = index;
  };
  const label = element("label", { for: id }, control.label);
  return { row: element("div", { class: "warmside-row" }, label, list), show };
}

// Save what is drawn as a file: a PNG as it is, an SVG as the picture that it is.
function savePicture(holder) {
  const drawn = holder.firstElementChild;
  const svg = drawn?.tagName.toLowerCase() === "svg";
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
  const ask = (question) => {
    clearTimeout(rest);
    if (question.name && waiting.at(-1)?.name === question.name) waiting.pop();
    waiting.push(question);
    send();
  };
  const send = () => {
    while (waiting.length && asked - answered < MOST_OUT) {
      asked += 1;
      model.send({ ...waiting.shift(), serial: [prefix, asked] });
    }
  };

  const panels = {};
  const rows = {};
  for (const system of Object.keys(page.controls)) {
    rows[system] = {};
    panels[system] = element("div", { class: "warmside-controls" });
    if (page.controls[system].length > 8) panels[system].classList.add("warmside-many");
    page.controls[system].forEach((control, number) => {
      const make = control.options ? optionsRow : sliderRow;
      const made = make(control, `${prefix}-${system}-${number}`, (value) =>
        ask({ name: control.name, value, system }),
      );
      if (page.prepares) made.row.addEventListener("focusin", () => ask({ prepare: control.name }));
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

  const showPicture = (html) => {
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
  const show = (given, shows) => {
    if (shows === "details") {
      details.innerHTML = given.details;
      if (!line.matches(":focus")) line.value = given.line; // else somebody is about to paste
    }
    if (shows === "picture") {
      words.textContent = given.words;
      showPicture(given.picture);
      for (const [name, panel] of Object.entries(panels)) panel.hidden = name !== given.system;
      for (const [name, { row }] of Object.entries(rows[given.system])) row.hidden = given.hidden.includes(name);
      for (const [name, chosen] of Object.entries(systems)) {
        chosen.setAttribute("aria-pressed", String(name === given.system));
      }
      if (given.set_all) setAll(given);
    }
    if (shows !== "details") rest = setTimeout(() => ask({ details: true }), REST);
  };
  model.on("change:answer", () => {
    const given = model.get("answer");
    show(given, given.shows);
    if (given.serial[0] !== prefix) return; // another view of this lab asked
    answered = given.serial[1];
    send();
  });
  show({ ...model.get("answer"), set_all: true }, "picture");
}

export default { render };
