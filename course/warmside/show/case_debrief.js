// How each reading of a case moved the odds, one step after the other: bars that stand for the same in all of them.

function makeOdds() {
  const panel = element("section", { class: "warmside-odds", "aria-label": "What each reading changed" });
  let shown = null;
  let step = 0;
  let told = () => {};

  function bar({ title, colour, look }, k) {
    const chance = Math.round(100 * shown.steps[step].chances[k]);
    const fill = element("span", { class: `warmside-fill warmside-look-${look}`, style: `width:${chance}%;--bar:${colour}` });
    const head = element("span", { class: "warmside-bar-head" }, element("span", {}, k === 0 ? `✔ ${title}` : title), element("b", {}, `${chance} %`));
    return element("li", {}, head, element("span", { class: "warmside-track", "aria-hidden": "true" }, fill));
  }
  function go(by) {
    step = clamp(step + by, 0, shown.steps.length - 1);
    draw();
  }
  const parts = {
    head: element("b", {}),
    previous: button("‹", () => go(-1)),
    next: button("›", () => go(1)),
    reading: element("p", { class: "warmside-step" }),
    bars: element("ul", {}),
    changed: element("p", { class: "warmside-changed" }),
  };
  parts.previous.setAttribute("aria-label", "Previous reading");
  parts.next.setAttribute("aria-label", "Next reading");
  const said = element("div", { "aria-live": "polite" }, parts.reading, parts.changed);
  panel.append(element("div", { class: "warmside-task-head" }, parts.head, parts.previous, parts.next), said, parts.bars);

  function draw() {
    const { title, shows, minutes, changed } = shown.steps[step];
    parts.head.textContent = step ? `Odds after reading ${step} of ${shown.steps.length - 1}` : "Odds before any reading";
    parts.previous.disabled = step === 0;
    parts.next.disabled = step === shown.steps.length - 1;
    parts.reading.textContent = shows ? `${title}: ${shows}. ${minutes} min so far.` : "Step through your readings with the arrows.";
    parts.changed.textContent = changed;
    const fresh = shown.bars.map(bar);
    const old = [...parts.bars.children];
    if (old.length !== fresh.length) parts.bars.replaceChildren(...fresh);
    // the same bar grows or shrinks, so that the eye can follow it
    else fresh.forEach((one, k) => {
      old[k].querySelector(".warmside-fill").style.width = one.querySelector(".warmside-fill").style.width;
      old[k].querySelector("b").textContent = one.querySelector("b").textContent;
    });
    told(shown.steps[step].name);
  }
  function show(debrief, stepped) {
    if (shown === debrief || !debrief.steps.length) return;
    shown = debrief;
    told = stepped;
    step = 0;
    draw();
  }
  return { panel, show };
}
