// What an exercise has on JupyterLab's page besides its cells: the job card one click away, beside the questions, and
// what can be chosen, which is written into the answer's cell as if it were typed. `warmside open` lets a page
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

// What can be answered: letters that the question explains, or one of the lists that the exercise shows; and whether
// more than one of them may be.
function choicesOf(asked, text, lists) {
  const found = /^record\("\w+", "(choice|names)", (?:"([a-z]+)"|codes\("(\w+)"\)|(case)\.names)\)/.exec(asked);
  if (!found) return null;
  const [, kind, letters, list, ofCase] = found;
  const meaning = (letter) => {
    const means = new RegExp(`^- \\*\\*${letter}\\*\\* ([^\\n]*(?:\\n {2,}[^\\n]*)*)`, "m").exec(text)?.[1] ?? "";
    return means.replace(/\s+/g, " ");
  };
  const choices = letters ? [...letters].map((letter) => [letter, meaning(letter)]) : lists[list ?? ofCase];
  return choices && { choices, several: kind === "names", isLetters: Boolean(letters), ofCase: Boolean(ofCase) };
}

// The cells of each question that is answered by choosing: where the answer is written, and the locked one that records it.
function* questions(panel, lists) {
  const cells = [...panel.content.widgets];
  const id = (cell) => cell.model.getMetadata("nbgrader")?.grade_id;
  for (const [at, records] of cells.entries()) {
    const source = records.model.sharedModel.getSource();
    const name = /^record\("(\w+)"/.exec(source)?.[1];
    const answer = cells[at - 1];
    if (!name || id(records) !== name || !answer || id(answer) !== `${name}_answer`) continue;
    const offered = choicesOf(source, cells[at - 2]?.model.sharedModel.getSource() ?? "", lists);
    if (offered) yield { name, answer, records, ...offered };
  }
}

async function run(panel, ...cells) {
  for (const cell of cells) {
    panel.content.deselectAll();
    panel.content.activeCellIndex = panel.content.widgets.indexOf(cell);
    await window.jupyterapp.commands.execute("notebook:run-cell");
  }
}

// Writes what is chosen into the answer's cell, and has it recorded once the hand rests.
function writerOf(panel, { name, answer, records }) {
  const written = new RegExp(`^(${name}\\s*=\\s*)(["'])([^"'\\n]*)\\2`, "m");
  const shared = answer.model.sharedModel;
  let rest;
  return {
    read: () => written.exec(shared.getSource())?.[3].trim().toLowerCase() ?? null, // null: in a way of one's own
    write(text, field) {
      shared.setSource(shared.getSource().replace(written, (_, begins) => `${begins}"${text}"`));
      clearTimeout(rest); // a hand that goes through them with the arrow keys hasn't chosen yet
      rest = setTimeout(async () => {
        await run(panel, answer, records);
        field.focus();
      }, 500);
    },
  };
}

// Names, or what the table calls them, of the readings that are lines of a cell so far.
function readIn(shared) {
  return new Set([...shared.getSource().matchAll(/^\s*case\.read\(([^)\n]*)\)/gm)].flatMap(([, typed]) => {
    return [...typed.matchAll(/(["'])(.*?)\1/g)].map(([, , name]) => name.trim().toLowerCase());
  }));
}

function buttons({ name, choices, several, isLetters, readings }, writer, fields) {
  const made = choices.map(([value, means]) => {
    const one = element("input", { type: several ? "checkbox" : "radio", name: `warmside-${name}`, value });
    one.setAttribute("aria-label", `${value} ${means}`.trim());
    one.onchange = () => writer.write(made.filter((each) => each.checked).map((each) => each.value).join(", "), one);
    const label = element("label", { title: means }, one, isLetters || !several ? value : means || value);
    fields.append(label);
    return one;
  });
  return (text) => {
    const chosen = text.split(",").map((each) => each.trim());
    const taken = readings ? readIn(readings) : new Set();
    made.forEach((one, k) => {
      one.checked = chosen.includes(one.value.toLowerCase());
      const [value, means] = choices[k];
      const isRead = taken.has(value.toLowerCase()) || taken.has(means.toLowerCase());
      one.parentElement.hidden = taken.size > 0 && !isRead && !one.checked; // a reading that was never taken proves nothing
    });
  };
}

function selectOf(choices, prompt, label) {
  const select = element("select", {}, element("option", { value: "", textContent: prompt }));
  select.setAttribute("aria-label", label);
  for (const [value, means] of choices) select.append(element("option", { value, textContent: `${value} – ${means}` }));
  return select;
}

function list({ name, choices }, writer, fields) {
  const select = selectOf(choices, "choose from the list", `Your answer: ${name.replaceAll("_", " ")}`);
  select.onchange = () => select.value && writer.write(select.value, select);
  fields.append(select);
  const values = new Map(choices.map(([value]) => [value.toLowerCase(), value]));
  return (text) => {
    select.value = values.get(text) ?? "";
  };
}

// Where one chooses, under an answer's cell; what stood there when the cell was run before goes.
function fieldsUnder({ answer }, legend) {
  answer.node.querySelector(".warmside-letters")?.remove();
  const fields = element("fieldset", { className: "warmside-letters" }, element("legend", { textContent: legend }));
  keepKeys(fields);
  answer.node.append(fields);
  return fields;
}

function choicesUnder(panel, question) {
  const { answer, several, isLetters, readings } = question;
  const fields = fieldsUnder(question, "Your answer:");
  const writer = writerOf(panel, question);
  const show = (several || isLetters ? buttons : list)(question, writer, fields);
  const look = () => {
    const text = writer.read();
    fields.hidden = text === null;
    if (text !== null) show(text);
  };
  answer.model.sharedModel.changed.connect(look);
  readings?.changed.connect(look);
  look();
}

// Readings of a case are lines of the answer's cell: what is chosen becomes one, and is taken.
function readingsUnder(panel, question) {
  const { answer, records, choices } = question;
  const shared = answer.model.sharedModel;
  const select = selectOf(choices, "choose a reading", "A reading of your case");
  const button = element("button", { type: "button", textContent: "Take it" });
  button.onclick = async () => {
    if (!select.value) return select.focus();
    shared.setSource(`${shared.getSource().trimEnd()}\ncase.read("${select.value}")\n`);
    select.value = "";
    await run(panel, answer, records);
    select.focus();
  };
  fieldsUnder(question, "Read:").append(select, button);
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
    let readings = null; // the cell in which they are taken
    for (const question of questions(panel, model.get("lists"))) {
      const shared = question.answer.model.sharedModel;
      const takes = /^\w+ = case\.taken/m.test(shared.getSource());
      if (takes) readings = shared;
      if (takes) readingsUnder(panel, question);
      else choicesUnder(panel, { ...question, readings: question.ofCase ? readings : null });
    }
  }, 200);
  return () => clearInterval(look);
}

export default { render };
