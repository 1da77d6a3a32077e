// What the map's and the lessons' pages do: labs that are live, answers that stay, the place where one was.

const base = document.body.dataset.base;
const xsrf = document.querySelector("meta[name=xsrf]").content;

function element(tag, properties = {}, ...within) {
  const made = Object.assign(document.createElement(tag), properties);
  made.append(...within);
  return made;
}

async function tell(path, told) {
  const answer = await fetch(base + path, {
    method: "POST",
    headers: { "Content-Type": "application/json", "X-XSRFToken": xsrf },
    body: JSON.stringify(told),
    keepalive: true, // a page that is being left still tells
  });
  if (answer.ok) return answer.json();
  const { problem } = await answer.json().catch(() => ({}));
  throw new Error(problem ?? "The server refused it; load the page again.");
}

// A sentence that stays until the page is left, where something couldn't be kept or done.
function complain(error) {
  const told = document.querySelector("#trouble") ?? element("p", { id: "trouble" });
  told.setAttribute("role", "alert");
  document.body.append(told);
  told.textContent = error instanceof TypeError ? "Warmside has ended; start it again with “warmside open”." : error.message;
}

// --- labs: what a page of a notebook gets from its kernel, over one socket ---------------------------------

class Model {
  #state;
  #socket;
  #heard = {};
  constructor(state, socket) {
    this.#state = state;
    this.#socket = socket;
  }
  get(name) {
    return this.#state[name];
  }
  on(event, does) {
    (this.#heard[event] ??= []).push(does);
  }
  send(question) {
    if (this.#socket.readyState === WebSocket.OPEN) this.#socket.send(JSON.stringify(question));
  }
  take({ answer, message }) {
    if (message) return this.#tell("msg:custom", message);
    this.#state.answer = answer;
    this.#tell("change:answer");
  }
  #tell(event, told) {
    for (const does of this.#heard[event] ?? []) does(told);
  }
}

function styled(style) {
  const sheet = new CSSStyleSheet();
  sheet.replaceSync(style);
  document.adoptedStyleSheets = [...document.adoptedStyleSheets, sheet];
}

async function show(place, { script, style, page, answer }, socket) {
  const url = URL.createObjectURL(new Blob([script], { type: "text/javascript" }));
  const { default: lab } = await import(url);
  URL.revokeObjectURL(url);
  styled(style);
  const model = new Model({ page, answer }, socket);
  const el = element("div");
  place.replaceChildren(el);
  lab.render({ model, el });
  const still = place.nextElementSibling;
  if (still) {
    const folded = element("details", { className: "still" }, element("summary", { textContent: "The same as a still picture" }));
    still.replaceWith(folded);
    folded.append(still);
  }
  place.dataset.live = "";
  return model;
}

function begin(place) {
  const address = new URL(`${base}lab/${place.dataset.lab}`, location.href).href.replace(/^http/, "ws");
  const socket = new WebSocket(address);
  let model; // a promise: answers wait until the lab stands
  socket.onmessage = async ({ data }) => {
    const told = JSON.parse(data);
    if (model) (await model).take(told);
    else model = show(place, told, socket);
  };
  socket.onclose = ({ reason }) => {
    const said = element("p", { className: "stopped", textContent: reason || "The lab has stopped; load the page again." });
    said.setAttribute("role", "alert");
    if (model) place.prepend(said);
    else place.replaceChildren(said);
  };
  addEventListener("pagehide", () => {
    socket.onclose = null;
    socket.close(); // its memory is given back
  });
  addEventListener("pageshow", ({ persisted }) => persisted && location.reload());
}

// --- what stays ------------------------------------------------------------------------------------------

// The section in view is where the reader is: the map leads back there.
function keepPlace(lesson) {
  const sections = [...document.querySelectorAll("main h2[id]")];
  let kept;
  let rest;
  const look = () => {
    const here = sections.filter((one) => one.getBoundingClientRect().top < innerHeight / 2).at(-1)?.id ?? "";
    for (const link of document.querySelectorAll(".sections a")) {
      if (decodeURIComponent(link.hash.slice(1)) === here) link.setAttribute("aria-current", "true");
      else link.removeAttribute("aria-current");
    }
    if (here === kept) return;
    kept = here;
    clearTimeout(rest);
    rest = setTimeout(() => tell("kept", { place: [lesson, here] }).catch(complain), 600);
  };
  addEventListener("scroll", look, { passive: true });
  look();
}

async function enhanceChecks() {
  const [{ enhance }, answer] = await Promise.all([import(`${base}self_check.js`), fetch(`${base}kept`)]);
  const { checks } = await answer.json();
  enhance(document.querySelector("main"), checks, (check, choice) => tell("kept", { check, choice }).catch(complain));
}

async function wait(lesson) {
  const told = await (await fetch(`${base}state/${lesson}`)).json();
  if (told.ready || told.failed) return location.reload();
  const words = document.querySelector("#how-far");
  if (words.textContent !== told.words) words.textContent = told.words;
  document.querySelector("#shown").innerHTML = told.told;
  setTimeout(() => wait(lesson).catch(complain), 250);
}

const { lesson, waiting, checks } = document.body.dataset;
const isOnWall = document.body.classList.contains("present");
for (const place of document.querySelectorAll("[data-lab]")) begin(place);
for (const button of document.querySelectorAll("[data-way]")) {
  button.onclick = () => tell("kept", { way: button.dataset.way }).then(() => location.reload(), complain);
}
for (const button of document.querySelectorAll("[data-back]")) {
  const question = `Put ${button.dataset.what} back as it was? What you wrote in it stays beside it, in a copy.`;
  button.onclick = () => confirm(question) && tell(`back/${button.dataset.back}`, {}).then(() => location.reload(), complain);
}
if (lesson && isOnWall) import(`${base}present.js`).then(({ present }) => present(document.querySelector("main")));
else if (lesson) keepPlace(lesson);
if (checks !== undefined) enhanceChecks().catch(complain);
if (waiting) wait(waiting).catch(complain);
