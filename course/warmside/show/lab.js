// A lab's page: controls, the finding in words, the picture. It holds no physics; every answer comes from the
// kernel. While one question is out, only the newest of each control waits, so that nothing lags behind the hand.

function element(tag, attributes, ...children) {
  const made = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) made.setAttribute(name, value);
  made.append(...children);
  return made;
}

function sliderRow(control, id, moved) {
  const limits = { min: control.low, max: control.high, step: control.step };
  const slider = element("input", { type: "range", id, ...limits });
  const box = element("input", { type: "number", "aria-label": control.label, ...limits });
  const take = (value, other) => {
    if (!Number.isFinite(value)) return;
    const steps = Math.round((Math.min(Math.max(value, control.low), control.high) - control.low) / control.step);
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
  return { widgets: [element("label", { for: id }, control.label), slider, box], show };
}

function optionsRow(control, id, moved) {
  const list = element("select", { id });
  control.options.forEach((text, index) => list.append(element("option", { value: index }, text)));
  list.addEventListener("change", () => moved(list.selectedIndex));
  const show = (index) => {
    list.selectedIndex = index;
  };
  return { widgets: [element("label", { for: id }, control.label), list, element("span", {})], show };
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
  let out = false;
  let serial = 0;
  const ask = (question) => {
    if (question.name && waiting.at(-1)?.name === question.name) waiting.pop();
    waiting.push(question);
    if (!out) send();
  };
  const send = () => {
    out = waiting.length > 0;
    if (!out) return;
    serial += 1;
    model.set("asked", { ...waiting.shift(), serial });
    model.save_changes();
  };

  const panels = {};
  const rows = {};
  for (const system of Object.keys(page.controls)) {
    rows[system] = {};
    panels[system] = element("div", { class: "warmside-controls" });
    page.controls[system].forEach((control, number) => {
      const make = control.options ? optionsRow : sliderRow;
      const row = make(control, `${prefix}-${system}-${number}`, (value) =>
        ask({ name: control.name, value, system }),
      );
      rows[system][control.name] = row;
      panels[system].append(...row.widgets);
    });
  }

  const buttons = element("div", { class: "warmside-buttons" });
  const systems = {};
  for (const system of Object.keys(page.controls)) {
    systems[system] = element("button", { type: "button" }, `${system} units`);
    systems[system].addEventListener("click", () => ask({ system }));
    buttons.append(systems[system]);
  }
  const reset = element("button", { type: "button" }, "Back to the start");
  reset.addEventListener("click", () => ask({ reset: true }));
  buttons.append(reset);

  const words = element("p", { role: "status" });
  const picture = element("div", {});
  el.append(...Object.values(panels), buttons, words, picture);

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
  const setAll = ({ system, values }) => {
    for (const [name, value] of Object.entries(values)) rows[system][name].show(value);
  };
  const answer = () => {
    const { system, words: said, picture: html, serial: answered } = model.get("answer");
    words.textContent = said;
    showPicture(html);
    for (const [name, panel] of Object.entries(panels)) panel.hidden = name !== system;
    for (const [name, button] of Object.entries(systems)) {
      button.setAttribute("aria-pressed", String(name === system));
    }
    // What a hand still moves is not set back, or it would lose steps.
    if (model.get("answer").set_all) setAll(model.get("answer"));
    if (answered === serial) send(); // else another view of this lab asked
  };
  model.on("change:answer", answer);
  answer();
  setAll(model.get("answer"));
}

export default { render };
