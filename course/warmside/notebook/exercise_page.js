// What an exercise has on JupyterLab's page besides its cells: the job card one click away, beside the questions, and
// letters to choose from, which are written into the answer's cell as if they were typed. `warmside open` lets a page
// of ours reach JupyterLab; elsewhere this does nothing, and answers are typed.

function element(tag, properties, ...within) {
  const made = Object.assign(document.createElement(tag), properties);
  made.append(...within);
  return made;
}

// JupyterLab would take keys for its own commands; saving and running stay its own.
function keepKeys(el) {
  el.addEventListener("keydown", (event) => {
    const command = event.ctrlKey || event.metaKey || event.altKey || (event.shiftKey && event.key === "Enter");
    if (!command) event.stopPropagation();
  });
}

function cardBeside(panel, html) {
  panel.node.querySelector(".warmside-beside")?.remove(); // of a cell that was run before
  const card = element("section", { hidden: true, tabIndex: 0 });
  card.setAttribute("aria-label", "Job card");
  card.innerHTML = html;
  const button = element("button", { type: "button", textContent: "Job card" });
  const show = (open) => {
    card.hidden = !open;
    button.setAttribute("aria-expanded", String(open));
    panel.node.classList.toggle("warmside-card-open", open);
  };
  button.onclick = () => show(card.hidden);
  show(false);
  const beside = element("div", { className: "warmside-beside" }, button, card);
  keepKeys(beside);
  panel.node.append(beside);
}

// The cells of each question with letters: where the answer is written, and the locked one that records it.
function* questions(panel) {
  const cells = [...panel.content.widgets];
  const id = (cell) => cell.model.getMetadata("nbgrader")?.grade_id;
  for (const [at, records] of cells.entries()) {
    const asked = /^record\("(\w+)", "choice", "([a-z]+)"\)/.exec(records.model.sharedModel.getSource());
    const answer = cells[at - 1];
    if (!asked || id(records) !== asked[1] || !answer || id(answer) !== `${asked[1]}_answer`) continue;
    yield { name: asked[1], letters: [...asked[2]], answer, records, text: cells[at - 2]?.model.sharedModel.getSource() ?? "" };
  }
}

async function run(panel, ...cells) {
  for (const cell of cells) {
    panel.content.deselectAll();
    panel.content.activeCellIndex = panel.content.widgets.indexOf(cell);
    await window.jupyterapp.commands.execute("notebook:run-cell");
  }
}

function lettersUnder(panel, { name, letters, answer, records, text }) {
  answer.node.querySelector(".warmside-letters")?.remove();
  const written = new RegExp(`^(${name}\\s*=\\s*)(["'])([^"'\\n]*)\\2`, "m");
  const shared = answer.model.sharedModel;
  const fields = element("fieldset", { className: "warmside-letters" }, element("legend", { textContent: "Your answer:" }));
  let rest;
  const radios = letters.map((letter) => {
    const radio = element("input", { type: "radio", name: `warmside-${name}`, value: letter });
    const means = new RegExp(`^- \\*\\*${letter}\\*\\* ([^\\n]*(?:\\n {2,}[^\\n]*)*)`, "m").exec(text)?.[1] ?? "";
    radio.setAttribute("aria-label", `${letter} ${means.replace(/\s+/g, " ")}`.trim());
    radio.onchange = () => {
      shared.setSource(shared.getSource().replace(written, (_, begins) => `${begins}"${letter}"`));
      clearTimeout(rest); // a hand that goes through them with the arrow keys hasn't chosen yet
      rest = setTimeout(async () => {
        await run(panel, answer, records);
        radio.focus();
      }, 500);
    };
    fields.append(element("label", {}, radio, letter));
    return radio;
  });
  const look = () => {
    const found = written.exec(shared.getSource());
    fields.hidden = !found; // else it is written in a way of one's own
    for (const radio of radios) radio.checked = radio.value === found?.[3].trim().toLowerCase();
  };
  shared.changed.connect(look);
  look();
  keepKeys(fields);
  answer.node.append(fields);
}

function panelOf(el) {
  const shown = window.jupyterapp?.shell.widgets("main") ?? [];
  return [...shown].find((one) => one.content?.widgets && one.node.contains(el));
}

function render({ model, el }) {
  const look = setInterval(() => {
    const panel = el.isConnected && panelOf(el);
    if (!panel) return;
    clearInterval(look);
    cardBeside(panel, model.get("card"));
    for (const question of questions(panel)) lettersUnder(panel, question);
  }, 200);
  return () => clearInterval(look);
}

export default { render };
