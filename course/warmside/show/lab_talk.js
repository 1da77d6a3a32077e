// What every lab's page has: controls, and how it talks with the kernel. It holds no physics; every view comes
// from there. While two questions are out, only the newest of each control waits, so that nothing lags behind the
// hand. Where the kernel makes views ahead of the hand, a control that has the focus finds them here already.
// The files of a page are parts of one script, joined in order (lab.py).

const REST = 350; // ms without a move after which details are asked for
const LONGER = 900; // ms after these until what keeps the kernel busy is asked for
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

// A control's row; `take` sets it as a hand does, `show` as the kernel says.
function sliderRow(control, id, moved) {
  const limits = { min: control.low, max: control.high, step: control.step };
  const steps = Math.round((control.high - control.low) / control.step);
  const place = (step) => Number((control.low + step * control.step).toFixed(6));
  const slider = element("input", { type: "range", id, ...limits });
  const box = element("input", { type: "number", "aria-label": control.label, ...limits });
  const show = (value) => {
    slider.value = value;
    box.value = value;
  };
  const take = (value) => {
    if (!Number.isFinite(value)) return;
    const within = Math.min(Math.max(value, control.low), control.high);
    const stepped = place(Math.round((within - control.low) / control.step));
    show(stepped);
    moved(stepped);
  };
  slider.addEventListener("input", () => take(slider.valueAsNumber));
  box.addEventListener("change", () => (Number.isFinite(box.valueAsNumber) ? take(box.valueAsNumber) : show(slider.value)));
  const values = Array.from({ length: steps + 1 }, (_, step) => place(step));
  const read = () => slider.valueAsNumber;
  const text = () => `${read()} ${control.unit}`;
  const label = element("label", { for: id }, control.label);
  const row = element("div", { class: "warmside-row" }, label, slider, box);
  return { control, row, show, take, values, read, text };
}

function optionsRow(control, id, moved) {
  const list = element("select", { id });
  control.options.forEach((text, index) => list.append(element("option", { value: index }, text)));
  const show = (index) => {
    list.selectedIndex = index;
  };
  const take = (index) => {
    show(index);
    moved(index);
  };
  list.addEventListener("change", () => moved(list.selectedIndex));
  const values = control.options.map((_, index) => index);
  const read = () => list.selectedIndex;
  const text = () => control.options[read()];
  const label = element("label", { for: id }, control.label);
  return { control, row: element("div", { class: "warmside-row" }, label, list), show, take, values, read, text };
}

// The rows of all controls by system and name, and a panel of them for each system.
function controlRows(page, prefix, moved, focused) {
  const rows = {};
  const panels = {};
  for (const system of Object.keys(page.controls)) {
    rows[system] = {};
    panels[system] = element("div", { class: "warmside-controls" });
    if (page.controls[system].length > 8) panels[system].classList.add("warmside-many");
    page.controls[system].forEach((control, number) => {
      const make = control.options ? optionsRow : sliderRow;
      const made = make(control, `${prefix}-${system}-${number}`, (value) => moved(control.name, value, system));
      if (page.ahead) made.row.addEventListener("focusin", () => focused(control.name, system));
      rows[system][control.name] = made;
      panels[system].append(made.row);
    });
  }
  return { rows, panels };
}

// JupyterLab would take arrow keys, Enter and letters for its own commands; saving and running stay its own.
function keepKeys(el) {
  el.addEventListener("keydown", (event) => {
    const command = event.ctrlKey || event.metaKey || event.altKey || (event.shiftKey && event.key === "Enter");
    if (!command) event.stopPropagation();
  });
}

// Questions and answers. `rows` is read when a control is aimed at; `shows` has what to do with a view that is
// here (`view`), with an answer (`answer`), with details (`details`) and, where a lab has them, with what takes
// longer (`costs`), the control whose views the page makes by itself (`own`), and whether a hand is still on its
// way (`held`): where it only passes, nothing was done.
function talk(model, prefix, rows, shows) {
  const waiting = [];
  let asked = 0;
  let answered = 0;
  let rest = 0;
  let rested = false; // details are on their way
  let unsaid = null; // a move whose view was here already: the kernel hears of it when the hand rests
  let ahead = null; // controls that a hand is at, their views that are here, and values that still have none
  let rounds = 0;
  const tell = () => {
    if (unsaid) waiting.push(unsaid);
    unsaid = null;
  };
  const ask = (question) => {
    clearTimeout(rest);
    rested = Boolean(question.details);
    tell();
    const last = waiting.at(-1);
    if (question.name && last?.name === question.name) question.begins = waiting.pop().begins || question.begins;
    if (!question.details && !ahead?.names.includes(question.name)) ahead = null; // what its views were for is no more
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
    const known = waiting.every((question) => question.details || ahead?.names.includes(question.name));
    if (!ahead?.left.length || ahead.out || !known) return;
    const { system, views, left } = ahead;
    const steps = ([name, value]) => {
      const { values, read } = rows[system][name];
      return Math.abs(values.indexOf(value) - values.indexOf(read()));
    };
    left.sort((one, other) => steps(one) - steps(other));
    const [name] = left[0];
    const some = left.filter(([other]) => other === name).slice(0, views.size ? SOME : FEW);
    ahead.left = left.filter((one) => !some.includes(one));
    ahead.out = some;
    model.send({ ahead: { name, values: some.map(([, value]) => value) }, serial: [prefix, ahead.round] });
  };
  // A hand is at one of these controls: the first of them is the likeliest to move.
  const aim = (names, system) => {
    if (ahead && ahead.system === system && ahead.names.join() === names.join()) return;
    tell();
    rounds += 1;
    const asked = names.filter((name) => name !== shows.own);
    const left = asked.flatMap((name) => rows[system][name].values.map((value) => [name, value]));
    ahead = { names, system, round: rounds, views: new Map(), left, out: null };
    send();
  };
  const move = (name, value, system, begins = false) => {
    const isOwn = name === shows.own;
    const view = isOwn || (ahead?.names.includes(name) && ahead.views.get(`${name}=${value}`));
    if (isOwn && unsaid && unsaid.name !== name) tell();
    if (ahead?.names.includes(name) && ahead.names.length > 1) {
      // what was drawn for the others was drawn for where this one stood
      for (const key of ahead.views.keys()) if (!key.startsWith(`${name}=`)) ahead.views.delete(key);
      ahead.left = ahead.left.filter(([other]) => other === name);
      ahead.names = [name];
    }
    if (!view) return ask({ name, value, system, begins });
    unsaid = { name, value, system, begins: begins || Boolean(unsaid?.begins) };
    if (!isOwn) shows.view(view, system);
    restSoon();
  };
  const restSoon = () => {
    clearTimeout(rest);
    rested = false;
    rest = setTimeout(() => ask({ details: true, held: shows.held?.() ?? false }), REST);
  };
  const show = (given, how) => {
    if (how === "picture") {
      shows.answer(given, Boolean(unsaid)); // else the hand is further on
      if (!rested) restSoon();
    } else {
      shows[how](given);
      if (how === "details" && rested && shows.costs) rest = setTimeout(() => ask({ details: "costs" }), LONGER);
    }
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
    ahead.out.forEach(([name, value], number) => {
      if (ahead.names.includes(name)) ahead.views.set(`${name}=${value}`, views[number]);
    });
    ahead.out = null;
    lookAhead();
  });
  // What a hand still moves is not set back, or it would lose steps.
  const setAll = ({ system, values }) => {
    const moving = new Set(waiting.map((question) => question.name));
    for (const [name, value] of Object.entries(values)) if (!moving.has(name)) rows[system][name].show(value);
  };
  return { ask, aim, move, show, setAll, restSoon };
}
