// A lab with a scene: the stage, the number and the sentence beside it, prediction, before, tasks, all settings.

const COMMIT = 900; // ms without a key after which a change counts as made
const MOST_PER_PIXEL = 1.5; // dots that are drawn for a pixel of the page
const COUNTS = 260; // ms in which the large number counts on to its new value

const makeParts = (page, prefix) => {
  const part = (name, kind = "div", more = {}) => element(kind, { class: `warmside-${name}`, ...more });
  return {
    stage: part("stage"),
    back: part("layer"),
    air: part("layer", "canvas", { "aria-hidden": "true" }),
    front: part("layer"),
    inHand: part("in-hand"),
    number: part("number warmside-result"),
    numberLabel: part("number-label"),
    margin: part("margin warmside-result"),
    ghost: part("ghost"),
    range: part("range warmside-result"),
    words: part("words", "p", { role: "status" }),
    verdict: part("verdict", "p", { "aria-live": "polite" }),
    sure: part("sure warmside-result", "p"),
    spots: part("spots warmside-buttons", "div", { role: "group", "aria-label": "Part of the picture to see" }),
    ask: part("ask", "div", { role: "group", "aria-labelledby": `${prefix}-ask`, hidden: "" }),
    told: part("told", "p", { role: "alert", hidden: "" }),
    task: part("task", "div", { "aria-live": "polite" }),
    details: part("details"),
  };
};

// A survey's verdict on each reading, beside its control; returns what writes them.
function verdictsBeside(rows, panels, prefix) {
  const places = {};
  for (const [system, inSystem] of Object.entries(rows)) {
    panels[system].classList.add("warmside-judged");
    for (const [name, { row }] of Object.entries(inSystem)) {
      const place = element("output", { id: `${prefix}-${system}-${name}-judged` });
      row.querySelector("label").after(place);
      for (const box of row.querySelectorAll("input, select")) box.setAttribute("aria-describedby", place.id);
      places[`${system} ${name}`] = place;
    }
  }
  return (system, verdicts) => {
    for (const name of Object.keys(rows[system])) {
      const place = places[`${system} ${name}`];
      const text = verdicts[name] ?? "";
      if (place.textContent !== text) place.textContent = text;
      place.dataset.mark = text[0] ?? "";
    }
  };
}

function render({ model, el }) {
  const page = model.get("page");
  const prefix = `warmside-${Math.random().toString(36).slice(2)}`;
  const scene = SCENES[page.scene];
  const systems = Object.keys(page.controls);
  keepKeys(el);
  el.classList.add("warmside-lab", "warmside-scene");
  const parts = makeParts(page, prefix);

  // --- what is shown: the kernel's last view, what was before, and what a hand is at
  let system = systems[0];
  let view = null;
  let before = null;
  let band = null;
  let peeks = false;
  let still = matchMedia("(prefers-reduced-motion: reduce)").matches;
  let predicts = page.predicts ?? true;
  let open = false; // a change is being made
  let timer = 0;
  let asksFor = null; // the view of before, while a prediction is waited for
  let tasks = [];
  let task = 0;
  let dirty = true;
  let truth = null; // a verdict that waits until the day has run
  let problem = ""; // what the kernel says of a line that it can't read

  const { rows, panels } = controlRows(
    page,
    prefix,
    (name, value) => change(name, value),
    (name, inSystem) => aim([name], inSystem),
  );
  const row = (name) => rows[system][name];
  const judged = page.survey ? verdictsBeside(rows, panels, prefix) : null;
  const shown = () => (peeks && before ? before : view);
  const moment = () => clock?.moment(still) ?? 0;
  const nowOf = (picture) => (scene.now ? scene.now(picture, moment(), { page, system }) : picture);
  const numbers = () => ({ ...nowOf(shown().picture), outside: outside() });
  const geometry = () => ({ ...scene.geometry(numbers()), id: prefix }); // ids in what is drawn are its own
  const outside = () => row("ambient").control.ends; // lowest and highest that it can be [K]

  // --- changes: one begins with the first move of a hand, and is made when that lets go
  function begin(name) {
    peeks = false;
    const begins = !open;
    if (begins) before = view;
    open = true;
    if (predicts && (scene.predicts?.(name) ?? true)) asksFor = before;
    el.classList.toggle("warmside-held", asksFor !== null);
    return begins;
  }
  function change(name, value) {
    if (clock && name === page.scrub) return scrub();
    if (scene.looks?.includes(name)) return move(name, value, system); // it changes nothing but what is shown
    const begins = begin(name);
    clearTimeout(timer);
    if (!held) timer = setTimeout(commit, COMMIT);
    verdictIs("");
    loaded(null);
    move(name, value, system, begins);
  }
  let held = false; // a pointer holds a handle
  // A hand goes through the day; the kernel hears of it when that rests.
  function scrub() {
    clock.stop();
    told(row(page.scrub).read());
  }
  function told(hour) {
    if (truth !== null) verdictIs(truth);
    truth = null;
    loaded(null);
    problem = "";
    if (hour !== toldLast) move(page.scrub, hour, system);
    toldLast = hour;
    paint();
  }
  let toldLast = null;
  function commit() {
    clearTimeout(timer);
    if (!open) return;
    open = false;
    if (asksFor) askFirst();
    paint();
  }
  function load(question) {
    if (asksFor) return;
    const begins = begin();
    clearTimeout(timer);
    verdictIs("");
    loaded(question.situation);
    ask({ ...question, begins });
    loads = true;
  }
  let loads = false; // what was loaded is on its way
  function askFirst() {
    const asked = scene.asks(before, view, { page, system, row });
    if (!asked) return goOn();
    const { title, note, answers: texts, marks = ["▼", "=", "▲"] } = asked;
    const heading = element("h3", { id: `${prefix}-ask` }, title);
    const answers = element("div", { class: "warmside-answers" });
    marks.forEach((mark, k) => {
      const made = button(texts[k], () => predicted(k - 1));
      made.prepend(element("span", { "aria-hidden": "true" }, mark));
      answers.append(made);
    });
    const skip = button("Show me without a guess", () => predicted(null));
    skip.classList.add("warmside-plain");
    parts.ask.replaceChildren(heading, element("p", {}, note), answers, skip);
    parts.ask.hidden = false;
  }
  function goOn() {
    asksFor = null;
    parts.ask.hidden = true;
    el.classList.remove("warmside-held");
    paint();
  }
  function predicted(said) {
    goOn();
    if (said !== null) ask({ judge: said });
    if (said !== null && clock && !still) {
      truth = "";
      clock.run(0, row(page.scrub).read() || page.day.hours);
    }
    paint();
    parts.stage.querySelector("[tabindex]")?.focus({ preventScroll: true });
  }
  const verdictIs = (text) => {
    if (parts.verdict.textContent !== text) parts.verdict.textContent = text;
    parts.verdict.dataset.mark = text[0] ?? "";
  };

  // --- handles
  const hand = {
    row,
    numbers,
    geometry,
    scale: () => parts.stage.clientWidth / STAGE.width,
    aim: (names) => aim(names, system),
    grab: () => {
      held = true;
      clearTimeout(timer);
    },
    isHeld: () => asksFor !== null, // a prediction is waited for
    letGo: () => {
      held = false;
      commit();
      restSoon();
    },
    holds: (told) => {
      const lines = told ?? ["Grab anything violet", "", "or Tab to it and use the arrow keys"];
      parts.inHand.replaceChildren(...lines.map((text, k) => element(k === 1 ? "b" : "span", {}, text)));
    },
  };
  const clock = page.scrub ? makeClock(page.scrub, page.day, { row, told }) : null;
  const handles = scene.handles().map((spec) => makeHandle(spec, hand));
  const extras = scene.extras?.(hand, page) ?? []; // what else stands on the stage and shows itself

  // --- the page
  const tools = element("div", { class: "warmside-buttons warmside-tools" });
  const pressed = (made, on) => made.setAttribute("aria-pressed", String(on));
  const toggle = (text, on, done, label = text) => {
    const made = button(text, () => done(made));
    pressed(made, on);
    made.setAttribute("aria-label", label);
    return made;
  };
  const loaded = (name) => [...situations.children].forEach((made) => pressed(made, made.textContent === name));
  const situations = element("div", { class: "warmside-buttons warmside-situations", role: "group", "aria-label": "Situations to load" });
  for (const name of page.situations) situations.append(toggle(name, false, () => load({ situation: name })));
  const predictButton = toggle("Predict first", predicts, (made) => pressed(made, (predicts = !predicts)));
  const peekButton = toggle("Before", false, () => {
    peeks = !peeks && before !== null;
    paint();
  });
  const unitButtons = systems.map((name) => toggle(`${name} units`, name === system, () => ask({ system: name })));
  const pauseButton = toggle("❚❚", still, () => {
    still = !still;
    clock?.rest();
    paint();
  }, "Pause what moves");
  const head = element("div", { class: "warmside-head" }, situations, pauseButton);
  const startButton = button("Back to the start", () => {
    predicted(null);
    before = null;
    open = false;
    verdictIs("");
    loaded(null);
    ask({ reset: true });
  });
  tools.append(predictButton, peekButton, ...unitButtons);

  const line = element("input", { type: "text", id: `${prefix}-line`, spellcheck: "false" });
  line.addEventListener("change", () => load({ line: line.value }));
  const lineLabel = element("label", { for: line.id }, "All of it in one line, to copy; or paste one and press Enter");
  const chart = scene.chart(page, { scrub: (hour) => row(page.scrub).take(hour) });
  const settings = element("div", { class: "warmside-settings" }, ...Object.values(panels));
  const beside = element("div", { class: "warmside-beside" }, chart.holder, parts.task);
  const showSettings = (on) => {
    settings.hidden = !on;
    beside.hidden = on;
    pressed(settingsButton, on);
  };
  const settingsButton = toggle("All settings", false, () => showSettings(settings.hidden));
  showSettings(Boolean(page.survey)); // a survey's sheet is what one begins with
  const saveButton = button("Save the picture", () => saveStage(drawnBack, parts.air, drawnFront));
  const below = element("div", { class: "warmside-buttons warmside-below" }, settingsButton, startButton);
  const figure = element("div", { class: "warmside-figure" }, parts.number, parts.margin, parts.ghost);
  const answer = element("div", { class: "warmside-answer" }, parts.numberLabel, figure, parts.range, parts.verdict, parts.words, parts.sure, parts.ask, parts.told);
  const side = element("div", { class: "warmside-side" }, tools, answer, beside, settings, below);
  parts.stage.append(parts.back, parts.air, parts.front, ...(clock ? [clock.made] : []), ...[...extras, ...handles].map(({ made }) => made));
  parts.stage.setAttribute("role", "group");
  parts.stage.setAttribute("aria-label", scene.label);
  const scroll = element("div", { class: "warmside-scroll" }, parts.stage);
  // On a phone a part of the stage is in view; these bring others.
  function see(name) {
    const [x, y] = scene.spots[name].map((place) => place * hand.scale());
    scroll.scrollTo({ left: x - scroll.clientWidth / 2, top: y - scroll.clientHeight / 2, behavior: still ? "auto" : "smooth" });
  }
  parts.spots.append(...Object.keys(scene.spots).map((name) => button(name, () => see(name))));
  const left = element("div", { class: "warmside-left" }, scroll, parts.spots, parts.inHand);
  el.append(
    head,
    element("div", { class: "warmside-body" }, left, side),
    element("p", { class: "warmside-about" }, `${scene.about} ${page.honest}.`),
    parts.details,
    element("div", { class: "warmside-line" }, saveButton, lineLabel, line),
  );
  hand.holds(null);

  // --- drawing
  function paint() {
    dirty = true;
  }
  const say = (name) => row(name).text();
  let drawnBack = "";
  let drawnFront = "";
  function draw() {
    if (!view) return;
    const n = numbers();
    const g = geometry();
    Object.assign(say, { page: page.systems?.[system], whole: page, system });
    const svg = (content) => `<svg viewBox="0 0 ${STAGE.width} ${STAGE.height}" aria-hidden="true">${content}</svg>`;
    const back = scene.back(n, g);
    if (back !== drawnBack) parts.back.innerHTML = svg(back);
    drawnBack = back;
    const front = scene.front(n, g, say);
    if (front !== drawnFront) parts.front.innerHTML = svg(front);
    drawnFront = front;
    for (const one of [...handles, ...extras]) one.show();
    drawNumber(n);
    judged?.(system, n.verdicts);
    chart.draw(shown(), { before: peeks ? null : before, band: peeks ? null : band, system }, moment());
    clock?.show();
    pressed(peekButton, peeks);
    peekButton.disabled = before === null;
    pressed(pauseButton, still);
    el.classList.toggle("warmside-still", still);
    unitButtons.forEach((made, k) => pressed(made, systems[k] === system));
  }
  function drawNumber(n) {
    parts.numberLabel.textContent = n.number_label;
    numberIs(n.number);
    parts.number.dataset.name = "number";
    for (const each of [parts.number, parts.margin]) each.classList.toggle("warmside-good", n.good);
    parts.margin.replaceChildren(element("b", {}, n.margin_text), element("span", {}, n.margin_says));
    parts.ghost.textContent = peeks ? "this was before" : before ? `before: ${nowOf(before.picture).number}` : "";
    if (scene.range) parts.range.textContent = band && !peeks ? scene.range(band, n, { page, system }) : "";
    const runs = Boolean(clock?.runs());
    parts.words.setAttribute("aria-live", runs ? "off" : "polite");
    const words = whole(runs ? "The day runs: watch both thermometers." : problem || (n.words ?? shown().words));
    if (parts.words.textContent !== words) parts.words.textContent = words;
  }
  // The number counts on to its new value, but for a hand that goes through the day, and where nothing is to move.
  let counts = null;
  let stands = "";
  function numberIs(text) {
    if (text === stands) return;
    const [from, to] = [stands, text].map((each) => each.split(" "));
    const canCount = !still && !clock?.runs() && from[1] === to[1] && Number.isFinite(Number(from[0])) && Number.isFinite(Number(to[0]));
    stands = text;
    counts = canCount && !scrubs() ? { from: Number(from[0]), to: Number(to[0]), since: performance.now(), digits: to[0].split(".")[1]?.length ?? 0 } : null;
    if (!counts) writeNumber(text);
  }
  const scrubs = () => clock !== null && document.activeElement === handles[0].made;
  function count(time) {
    const part = clamp((time - counts.since) / COUNTS, 0, 1);
    const unit = stands.split(" ")[1];
    writeNumber(part < 1 ? `${mix(counts.from, counts.to, part * (2 - part)).toFixed(counts.digits)} ${unit}` : stands);
    if (part >= 1) counts = null;
  }
  function writeNumber(text) {
    const [figure, unit] = text.split(" ");
    parts.number.replaceChildren(figure, ...(unit ? [element("small", {}, ` ${unit}`)] : []));
  }
  function drawTask() {
    if (!tasks.length) return;
    const { text, says } = tasks[task];
    const done = tasks.filter((each) => each.says).length;
    const step = (by) => {
      task = (task + by + tasks.length) % tasks.length;
      drawTask();
    };
    const [previous, next] = [button("‹", () => step(-1)), button("›", () => step(1))];
    previous.setAttribute("aria-label", "Previous task");
    next.setAttribute("aria-label", "Next task");
    const head = element("div", { class: "warmside-task-head" }, element("b", {}, `Try it: ${task + 1} of ${tasks.length}, ${done} done`), previous, next);
    const told = element("p", { class: "warmside-task-says" }, says ? whole(`✔ ${says}`) : "");
    parts.task.replaceChildren(head, says ? told : element("p", {}, whole(text)));
  }

  // --- what the kernel says
  const isScene = (given) => typeof given.picture === "object";
  function showView(given, inSystem) {
    parts.told.hidden = isScene(given);
    if (!isScene(given)) {
      parts.told.textContent = stripped(given.picture);
      return;
    }
    if (view?.picture !== given.picture && !sameDay(given.picture)) band = null;
    view = given;
    if (!scene.range) parts.range.textContent = "";
    parts.sure.textContent = given.picture.caution ?? "";
    for (const [name, made] of Object.entries(rows[inSystem])) made.row.hidden = given.hidden.includes(name);
    paint();
  }
  // What the clock alone has changed leaves the day as it was.
  const sameDay = (picture) => clock !== null && view !== null && ["cup", "air"].every((name) => String(view.picture[name]) === String(picture[name]));
  const whole = (text) => text.replace(/(\d) (?=[°%a-z])/g, "$1\u00a0"); // a number stays with its unit
  const stripped = (html) => new DOMParser().parseFromString(html, "text/html").body.textContent;
  function showAnswer(given, further) {
    system = given.system;
    if (given.set_all) setAll(given);
    if (given.set_all && before && given.before) before = given.before;
    if (!further) showView(given, given.system);
    if (clock) {
      problem = isScene(given) && !given.picture.hours.some(({ words }) => words === given.words) ? given.words : "";
      if (given.set_all) toldLast = given.values[page.scrub];
      if (given.set_all && !given.verdict) clock.stop();
    }
    if (given.verdict && truth !== null) truth = given.verdict;
    else if (given.verdict) verdictIs(given.verdict);
    for (const [name, panel] of Object.entries(panels)) panel.hidden = name !== given.system;
    if (loads) commit();
    loads = false;
    paint();
  }
  function showBand(told) {
    band = told.band ?? band;
    if (!scene.range) parts.range.textContent = told.range_text ?? parts.range.textContent;
    if (told.html !== undefined) parts.details.innerHTML = told.html;
    paint();
  }
  function showCosts({ costs }) {
    showBand(costs);
    parts.sure.textContent = costs.sure_text ?? parts.sure.textContent;
  }
  function showDetails(given) {
    showBand(given.details);
    const was = tasks;
    tasks = given.tasks;
    const fresh = tasks.findIndex((each, k) => each.says && !was[k]?.says);
    if (fresh >= 0 && was.length) task = fresh;
    if (!line.matches(":focus")) line.value = given.line; // else somebody is about to paste
    drawTask();
  }
  const { ask, aim, move, show, setAll, restSoon } = talk(model, prefix, rows, {
    view: showView,
    answer: showAnswer,
    details: showDetails,
    costs: showCosts,
    own: page.scrub,
    held: () => held,
  });
  show({ ...model.get("answer"), set_all: true }, "picture");

  // --- the picture goes on, however long the kernel takes
  const air = scene.moving(parts.air, page);
  let scale = 0;
  let inView = true;
  let cleared = false; // a canvas is empty when its size has changed, maybe out of view
  let played = false; // the day runs once by itself when it comes into view
  let last = 0;
  let next = 0;
  const watch = new IntersectionObserver(([seen]) => {
    inView = seen.isIntersecting;
  });
  watch.observe(parts.stage);
  const size = new ResizeObserver(() => {
    const dots = Math.min(devicePixelRatio || 1, MOST_PER_PIXEL);
    scale = (parts.stage.clientWidth / STAGE.width) * dots;
    parts.air.width = Math.round(STAGE.width * scale);
    parts.air.height = Math.round(STAGE.height * scale);
    cleared = true;
    chart.fit?.();
    paint();
  });
  for (const one of [parts.stage, chart.holder]) size.observe(one); // either may change without the other
  function frame(time) {
    next = requestAnimationFrame(frame);
    const seconds = Math.min((time - last) / 1000, 0.05);
    last = time;
    const halted = still || asksFor !== null;
    if (!played && view && inView && !halted) {
      played = true;
      clock?.run(0);
    }
    if (asksFor === null && inView && clock?.frame(seconds)) paint();
    if (counts) count(time);
    const fresh = dirty && view !== null;
    if (fresh) draw();
    dirty &&= !fresh;
    if (!view || !inView || !(fresh || cleared || !halted)) return;
    cleared = false;
    air.frame(numbers(), geometry(), halted ? 0 : seconds, still, scale);
  }
  next = requestAnimationFrame(frame);
  return () => {
    cancelAnimationFrame(next);
    watch.disconnect();
    size.disconnect();
  };
}

export default { render };
