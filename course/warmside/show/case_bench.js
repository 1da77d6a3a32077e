// A case's page: stop signs first, spots to read on the picture, minutes, one commit, what was right. All state is
// the kernel's; the page shows it, and asks for one thing at a time.

const DOTS_OF = { open: "M-5 0H5M0 -5V5", done: "M-5 0l4 4l7 -8" };
const dot = (kind) => `<svg viewBox="-14 -14 28 28"><circle r="12.6"/><path d="${DOTS_OF[kind]}"/></svg>`;
const plainName = (name) => name.replaceAll("_", " ").replace(/ look$/, "");
const inMinutes = (minutes) => `${minutes} min`;
const together = (text) => text.replace(/(\d) (?=[°%a-zA-Z])/g, "$1\u00a0"); // a number stays with its unit
const COUNT = 500; // ms in which the minutes count on

function caseGeometry(n, id) {
  return { ...enclosureGeometry(n), id };
}

function render({ model, el }) {
  const page = model.get("page");
  const prefix = `warmside-${Math.random().toString(36).slice(2)}`;
  const readings = Object.fromEntries(page.readings.map((one) => [one.name, one]));
  const n = caseNumbers(page.sizes);
  const g = caseGeometry(n, prefix);
  const spots = caseSpots(n, g);
  const at = (place) => page.readings.filter((one) => (spots[one.place] ? one.place : "") === place);
  const names = Object.keys(spots).filter((name) => at(name).length);
  const rows = caseRows(spots, names);
  keepKeys(el);
  el.classList.add("warmside-lab", "warmside-scene", "warmside-case");

  let state = model.get("answer");
  let waits = "";
  let opened = null; // the spot whose list is open
  let again = ""; // a reading that was taken before and is looked at once more
  let writes = false; // the commit is open
  let sure = null; // what is about to be committed
  let drawn = false; // what stood in the log at the start was read before
  const ask = (question, what) => {
    waits = what;
    again = "";
    model.send({ ...question, serial: [prefix, 0] });
    show();
  };
  const part = (name, kind = "div", more = {}, ...within) => element(kind, { class: `warmside-${name}`, ...more }, ...within);

  // --- the stage
  const stage = part("stage", "div", { role: "group", "aria-label": "Side section of a refrigerator; each part that can be read is a button" });
  const picture = part("layer");
  picture.innerHTML = `<svg viewBox="0 0 ${STAGE.width} ${STAGE.height}" aria-hidden="true">${caseStage(n, g, rows)}</svg>`;
  stage.append(picture);
  const inHand = part("in-hand", "div", { "aria-hidden": "true" }); // each button says the same
  const held = (place) => {
    const here = place === undefined ? [] : at(place);
    const [first] = here;
    const told = here.length === 1 ? [`${first.what}`, inMinutes(first.minutes), first.caution] : ["", "", ""];
    if (here.length > 1) told.splice(0, 3, page.places[place], `${here.length} to read`, here.map((one) => plainName(one.name)).join(", "));
    inHand.replaceChildren(...told.map((text, k) => element(k === 1 ? "b" : "span", {}, text)));
    if (here.length) return;
    const idle = ["Violet spots can be read", "or Tab to one and press Enter"];
    if (!state.looked) idle.splice(0, 2, "Stop signs first", "then the parts can be read");
    if (state.committed) idle.splice(0, 2, "You have committed", "so nothing is read any more");
    inHand.replaceChildren(...idle.map((text) => element("span", {}, text)));
  };
  const known = (name) => state.log.find((one) => one.name === name);
  const reads = () => state.looked && !state.committed && !state.stops.length;
  const buttons = Object.fromEntries(names.map((name) => [name, spotButton(name)]));

  function spotButton(name) {
    const { x, y, width, height } = rows[name];
    const where = `left:${(100 * x) / STAGE.width}%;top:${(100 * y) / STAGE.height}%;width:${(100 * width) / STAGE.width}%;min-height:${(100 * height) / STAGE.height}%`;
    const made = part("spot", "button", { type: "button", "data-spot": name, style: where });
    made.append(part("dot", "span", { "aria-hidden": "true" }), part("spot-text", "span"));
    made.addEventListener("click", () => press(name));
    made.addEventListener("pointerenter", () => held(name));
    made.addEventListener("focus", () => held(name));
    made.addEventListener("blur", () => held());
    stage.append(made);
    return made;
  }
  // Arrow keys go through the spots, as they are read from top to bottom.
  stage.addEventListener("keydown", (event) => {
    const step = { ArrowDown: 1, ArrowRight: 1, ArrowUp: -1, ArrowLeft: -1 }[event.key];
    const now = names.findIndex((name) => buttons[name] === event.target);
    if (!step || now < 0) return;
    buttons[names[(now + step + names.length) % names.length]].focus();
    event.preventDefault();
  });
  function press(name) {
    const here = at(name);
    const [first] = here;
    if (!reads()) return;
    // What takes care says so before it is taken.
    if (here.length === 1 && (!first.caution || known(first.name))) take(first.name);
    else openList(name);
  }
  function take(name) {
    const back = opened;
    opened = null;
    if (known(name)) {
      again = name;
      show();
    } else {
      ask({ read: name }, "Reading …");
    }
    (buttons[back ?? readings[name].place] ?? stage).focus({ preventScroll: true });
  }

  // --- the list of what is read at one part
  const list = part("list", "div", { role: "group", hidden: "" });
  function openList(name) {
    opened = opened === name ? null : name;
    show();
    if (!opened) return;
    list.querySelector("button").focus({ preventScroll: true });
    list.scrollIntoView({ block: "nearest" });
  }
  function closeList() {
    const back = buttons[opened];
    opened = null;
    show();
    back?.focus({ preventScroll: true });
  }
  el.addEventListener("keydown", (event) => {
    if (event.key === "Escape" && opened) closeList();
  });
  function readingButton({ name, what, minutes }) {
    const there = known(name);
    const told = there ? `✔ ${there.value}` : inMinutes(minutes);
    const made = part("reading", "button", { type: "button", "data-reading": name }, element("span", {}, what), element("b", {}, told));
    made.addEventListener("click", () => take(name));
    made.disabled = !reads();
    return made;
  }
  function drawList() {
    list.hidden = opened === null;
    el.classList.toggle("warmside-opened", opened !== null);
    if (opened === null) return;
    const close = button("✕", closeList);
    close.setAttribute("aria-label", "Close");
    const side = rows[opened].side;
    list.dataset.side = side;
    list.setAttribute("aria-label", `To read: ${page.places[opened]}`);
    const within = [part("list-head", "div", {}, element("b", {}, page.places[opened]), close)];
    let caution = "";
    for (const one of at(opened)) {
      if (one.caution && one.caution !== caution) within.push(element("p", {}, `⚠ ${one.caution}`));
      caution = one.caution;
      within.push(readingButton(one));
    }
    list.replaceChildren(...within);
    placeList();
  }
  function placeList() {
    if (opened === null) return;
    const scale = stage.clientHeight / STAGE.height;
    list.style.setProperty("--most", `${stage.clientHeight - 8}px`);
    const high = list.offsetHeight;
    const middle = (rows[opened].y + rows[opened].height / 2) * scale;
    list.style.setProperty("--up", `${clamp(middle - high / 2, 4, Math.max(stage.clientHeight - high - 4, 4))}px`);
  }

  // --- beside it
  const minutesLabel = part("number-label", "div", {}, "Minutes spent");
  const number = part("number", "div", { "data-name": "minutes" });
  const words = part("words", "p", { role: "status" });
  const problem = part("told", "p", { role: "alert", hidden: "" });
  const lookButton = button("Look, smell, listen", () => ask({ look: true }, "Looking for stop signs …"));
  const asked = part("asked", "details", {}, element("summary", {}, "What was asked"));
  const log = part("log", "ol", { tabindex: "0", "aria-label": "Log of readings" });
  const commit = part("commit", "form", { hidden: "", "aria-label": "Commit" });
  const odds = makeOdds();
  odds.panel.hidden = true;
  const below = part("below", "div");
  below.classList.add("warmside-buttons");
  const commitButton = button("I know enough: commit", () => {
    writes = !writes;
    sure = null;
    if (writes && !state.lists) ask({ lists: true }, "");
    show();
    if (writes) commit.querySelector("select")?.focus();
  });
  const debriefButton = button("What was right?", () => ask({ debrief: true }, "Working it out. The very first time on a computer it takes minutes …"));
  below.append(commitButton, debriefButton);
  const answer = part("answer", "div", {}, minutesLabel, number, words, problem, lookButton);
  const side = part("side", "div", {}, answer, asked, log, commit, odds.panel, below);

  function sentence() {
    if (waits) return waits;
    if (!state.looked) return "Stop signs come before any reading. It costs no minutes.";
    if (state.debrief) return state.debrief.said.slice(0, state.debrief.steps.length ? 3 : 1).join(" ");
    if (state.committed) return `You commit: ${state.committed}. ${page.marked ? "Your instructor marks it." : ""}`;
    const last = again ? known(again) : state.log.at(-1);
    if (!last) return "Nothing that you see, hear or smell stops the job. Now read: performance first.";
    const { what, minutes } = readings[last.name];
    const cost = again ? "Read before" : inMinutes(minutes);
    return `${what}: ${last.value}${last.metric ? ` (${last.metric})` : ""}. ${cost}.`;
  }
  // The minutes count on, and a ring spreads from the part that was read; not where nothing is to move.
  const calm = matchMedia("(prefers-reduced-motion: reduce)").matches;
  let counted = state.minutes;
  let counting = 0;
  function minutesAre(minutes) {
    cancelAnimationFrame(counting);
    const [from, since] = [counted, performance.now()];
    counted = minutes;
    const step = (now) => {
      const part = calm ? 1 : clamp((now - since) / COUNT, 0, 1);
      number.textContent = inMinutes(Math.round(mix(from, minutes, part)));
      if (part < 1) counting = requestAnimationFrame(step);
      else number.textContent = inMinutes(minutes);
    };
    step(since);
  }
  function ring(place) {
    if (calm || !rows[place]?.at) return;
    const [x, y] = rows[place].at;
    const made = part("ring", "span", { "aria-hidden": "true", style: `left:${(100 * x) / STAGE.width}%;top:${(100 * y) / STAGE.height}%` });
    made.addEventListener("animationend", () => made.remove());
    stage.append(made);
  }
  function drawLog() {
    const many = log.children.length;
    log.replaceChildren(
      ...state.log.map(({ name, value, metric, spent }) =>
        element("li", {}, element("b", {}, `${spent} min`), element("span", {}, `${readings[name].what}: `, element("b", {}, value), metric ? ` (${metric})` : "")),
      ),
    );
    if (log.children.length <= many) return;
    log.scrollTop = log.scrollHeight;
    if (drawn) ring(readings[state.log.at(-1).name].place);
  }
  function drawSpot(name) {
    const here = at(name);
    const taken = state.log.filter((one) => here.some((each) => each.name === one.name));
    const last = taken.at(-1);
    const made = buttons[name];
    const isNamed = here.length > 1 && rows[name].side === "right"; // at the left there is no room
    const value = last && (isNamed ? `${plainName(last.name)}: ${last.value}` : last.value);
    const left = here.length > 1 ? `${taken.length ? `${taken.length} of ${here.length} read` : `${here.length} to read`}` : inMinutes(here[0].minutes);
    const text = [element("span", { class: "warmside-spot-name" }, page.places[name])];
    if (value) text.push(element("b", {}, value));
    if (!last || (here.length > 1 && taken.length < here.length && rows[name].side === "left")) text.push(element("span", {}, left));
    made.querySelector(".warmside-spot-text").replaceChildren(...text);
    made.querySelector(".warmside-dot").innerHTML = dot(taken.length === here.length ? "done" : "open");
    made.dataset.read = taken.length === here.length ? "all" : taken.length ? "some" : "none";
    made.disabled = !reads();
    const only = here.length === 1 && !last ? ` ${here[0].caution}` : "";
    made.setAttribute("aria-label", `${page.places[name]}: ${value ? `${value}, ` : ""}${left}.${only}`.replace(/\s+/g, " "));
    if (here.length > 1) made.setAttribute("aria-expanded", String(opened === name));
  }

  // --- the commit: chosen from lists, said once more, then given
  function select(id, label, options) {
    const made = element("select", { id: `${prefix}-${id}` });
    const add = (holder, [value, text]) => holder.append(element("option", { value }, text));
    for (const [text, within] of options) {
      if (!Array.isArray(within)) {
        add(made, [within, text]);
        continue;
      }
      const group = element("optgroup", { label: text });
      within.forEach((one) => add(group, one));
      made.append(group);
    }
    return { made, row: element("div", { class: "warmside-choice" }, element("label", { for: made.id }, label), made) };
  }
  function makeCommit({ faults, remedies }) {
    const groups = [...new Set(faults.map((one) => one.group))];
    const grouped = groups.map((group) => [group, faults.filter((one) => one.group === group).map((one) => [one.name, one.title])]);
    const done = remedies.map((one) => [one.title, one.name]);
    const wrong = select("wrong", "What is wrong", [["Choose", ""], ["Nothing wrong", "ok"], ["A stop sign: the job ends", "stop"], ...grouped]);
    const also = select("also", "What else is wrong", [["Nothing else", ""], ...grouped]);
    const remedy = select("remedy", "What you do", [["Choose", ""], ...done]);
    const more = select("more", "What else you do", [["Nothing else", ""], ...done]);
    const give = element("button", { type: "submit" }, "Commit");
    const confirm = part("confirm", "div", { role: "group", "aria-label": "Commit, once" });
    const chosenRows = element("div", {});
    const chosen = (one) => (one.made.disabled ? "" : one.made.value);
    const textOf = (one) => (chosen(one) ? one.made.selectedOptions[0].textContent : "");
    const listed = (...ones) => [...new Set(ones.map(chosen).filter(Boolean))].join(", ");
    const told = (...ones) => [...new Set(ones.map(textOf).filter(Boolean))].join(", and ");
    const change = () => {
      const alone = ["ok", "stop"].includes(wrong.made.value);
      also.made.disabled = alone;
      for (const one of [remedy, more]) one.made.disabled = wrong.made.value === "stop";
      sure = null;
      drawSure();
    };
    function drawSure() {
      confirm.hidden = sure === null;
      chosenRows.hidden = sure !== null;
      if (sure === null) return;
      const yes = button("Yes, that is my word", () => {
        writes = false;
        ask({ commit: sure }, "Committing …");
        words.focus({ preventScroll: true });
      });
      const no = button("Go back", () => {
        change();
        wrong.made.focus();
      });
      confirm.replaceChildren(element("p", {}, `A commit counts once. ${told(wrong, also)}. ${textOf(remedy) ? `You do: ${told(remedy, more)}.` : ""}`), yes, no);
      yes.focus();
    }
    commit.addEventListener("change", change);
    commit.addEventListener("submit", (event) => {
      event.preventDefault();
      const lacks = !wrong.made.value ? wrong : chosen(remedy) || wrong.made.value === "stop" ? null : remedy;
      if (lacks) {
        words.textContent = `Choose first: ${lacks.row.querySelector("label").textContent.toLowerCase()}.`;
        lacks.made.focus();
        return;
      }
      sure = { wrong: listed(wrong, also), do: listed(remedy, more) };
      drawSure();
    });
    chosenRows.append(...[wrong, also, remedy, more].map(({ row }) => row), give);
    commit.append(chosenRows, confirm);
    change();
  }

  // --- a stop sign that was met: nothing else is shown
  const stop = part("stop", "section", { hidden: "", role: "alert" });
  function drawStop() {
    const met = state.stops.length > 0;
    stop.hidden = !met;
    for (const one of [head, body, about, line]) one.hidden = met || (one === line && !state.log.length);
    if (!met) return;
    const told = state.stops.flatMap(({ reported, steps, never, goes_on }) => [
      element("h3", {}, `Stop. ${reported}`),
      element("ol", {}, ...steps.map((step) => element("li", {}, step))),
      element("p", {}, `${never} Who goes on: ${goes_on}`),
    ]);
    if (!state.committed) told.push(button("I stop here", () => ask({ commit: { wrong: "stop", do: "" } }, "")));
    else if (state.debrief) told.push(element("p", {}, element("b", {}, state.debrief.said[0])));
    else if (page.marked) told.push(element("p", {}, element("b", {}, `You commit: ${state.committed}. Your instructor marks it.`)));
    else told.push(element("p", {}, element("b", {}, `You commit: ${state.committed}.`)), button("What was right?", () => ask({ debrief: true }, "")));
    if (state.problem) told.push(element("p", { class: "warmside-told" }, state.problem));
    const had = stop.contains(document.activeElement);
    stop.replaceChildren(...told);
    if (had) stop.querySelector("button")?.focus();
  }

  // --- the page
  const { number: of, size, heat_source: source, season, ambient, complaint } = page.about;
  const head = part("case-head", "div", {}, element("p", {}, element("b", {}, `Case ${of}`), ` (invented): ${size}, on ${source}, ${season}, ${ambient} outside.`), element("p", {}, `The owner says: “${complaint}”`));
  const scroll = part("scroll", "div", {}, stage);
  const elsewhere = part("elsewhere", "div", { role: "group", "aria-label": "Read elsewhere" });
  const parts = { Top: [560, 60], Inside: [120, 330], Unit: [560, 330], Below: [560, 560] };
  const sees = Object.entries(parts).map(([name, [x, y]]) =>
    button(name, () => {
      const scale = stage.clientWidth / STAGE.width;
      scroll.scrollTo({ left: x * scale - scroll.clientWidth / 2, top: y * scale - scroll.clientHeight / 2 });
    }),
  );
  const see = part("spots", "div", { role: "group", "aria-label": "Part of the picture to see" }, ...sees);
  see.classList.add("warmside-buttons");
  const left = part("left", "div", {}, scroll, list, see, inHand, elsewhere);
  const body = part("body", "div", {}, left, side);
  const about = part("about", "p", {}, "A refrigerator of this size as it usually stands, to scale. How the one of the case stands isn’t drawn: read it. ");
  const details = part("details", "div", { hidden: "" });
  const line = part("line", "p", {});
  el.append(head, body, stop, about, line, details);

  function show() {
    if (state.minutes !== counted || !number.textContent) minutesAre(state.minutes);
    const text = together(sentence());
    if (words.textContent !== text) words.textContent = text;
    problem.hidden = !state.problem;
    problem.textContent = state.problem;
    lookButton.hidden = state.looked;
    asked.hidden = !state.looked || writes || Boolean(state.committed);
    minutesLabel.textContent = state.debrief?.cheapest ? `Minutes spent; the cheapest way takes ${state.debrief.cheapest}` : "Minutes spent";
    if (asked.children.length === 1 && state.looked) asked.append(element("ul", {}, ...state.signs.map(({ question, met }) => element("li", {}, `${question} ${met ? "YES" : "No."}`))));
    names.forEach(drawSpot);
    elsewhere.replaceChildren(...at("").map(readingButton));
    drawList();
    drawLog();
    if (state.lists && !commit.children.length) {
      makeCommit(state.lists);
      if (writes) commit.querySelector("select").focus();
    }
    const odd = Boolean(state.debrief?.steps.length);
    commit.hidden = !writes || state.committed !== "";
    log.hidden = !commit.hidden || odd || !state.log.length;
    odds.panel.hidden = !odd;
    commitButton.hidden = !reads();
    commitButton.textContent = writes ? "Back to reading" : "I know enough: commit";
    debriefButton.hidden = !state.committed || page.marked || Boolean(state.debrief);
    if (odd) odds.show(state.debrief, (name) => names.forEach((each) => buttons[each].classList.toggle("warmside-now", readings[name]?.place === each)));
    details.hidden = !odd;
    if (odd && !details.innerHTML) details.innerHTML = state.debrief.page;
    line.textContent = `The same, typed in a notebook: case.read(${state.log.map(({ name }) => `"${name}"`).join(", ")})`;
    if (!el.contains(document.activeElement) || document.activeElement.disabled) held();
    drawStop();
  }
  model.on("change:answer", () => {
    state = model.get("answer");
    waits = "";
    const had = el.contains(document.activeElement);
    show();
    // what had the focus may be gone: what is said has it then
    if (had && !(el.contains(document.activeElement) && document.activeElement.checkVisibility())) (stop.hidden ? words : stop).focus({ preventScroll: true });
  });
  words.tabIndex = -1;
  stop.tabIndex = -1;
  held();
  show();
  drawn = true;
  const watch = new ResizeObserver(placeList);
  watch.observe(stage);
  return () => watch.disconnect();
}

export default { render };
