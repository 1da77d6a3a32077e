// A lab with a picture: the finding in words, the picture, controls below it.

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
  keepKeys(el);
  el.classList.add("warmside-lab");
  const { rows, panels } = controlRows(
    page,
    prefix,
    (name, value, system) => move(name, value, system),
    (name, system) => aim([name], system),
  );

  const situations = element("div", { class: "warmside-buttons", role: "group", "aria-label": "Situations to load" });
  for (const name of page.situations) situations.append(button(name, () => ask({ situation: name })));

  const picture = element("div", { class: "warmside-picture" });
  const buttons = element("div", { class: "warmside-buttons" });
  const systems = {};
  for (const system of Object.keys(page.controls)) {
    systems[system] = button(`${system} units`, () => ask({ system }));
    buttons.append(systems[system]);
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
  const showView = (view, system) => {
    words.textContent = view.words;
    showPicture(view.picture);
    for (const [name, { row }] of Object.entries(rows[system])) row.hidden = view.hidden.includes(name);
  };
  const showDetails = (given) => {
    details.innerHTML = given.details;
    if (!line.matches(":focus")) line.value = given.line; // else somebody is about to paste
  };
  const showAnswer = (given, further) => {
    if (!further) showView(given, given.system);
    for (const [name, panel] of Object.entries(panels)) panel.hidden = name !== given.system;
    for (const [name, chosen] of Object.entries(systems)) {
      chosen.setAttribute("aria-pressed", String(name === given.system));
    }
    if (given.set_all) setAll(given);
  };
  const { ask, aim, move, show, setAll } = talk(model, prefix, rows, {
    view: showView,
    answer: showAnswer,
    details: showDetails,
  });
  show({ ...model.get("answer"), set_all: true }, "picture");
}

export default { render };
