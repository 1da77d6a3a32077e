// The button that writes a hand-in. A page in an output can't save the notebook by itself: it asks JupyterLab to, where
// `warmside open` has let it. Elsewhere the kernel sees that the notebook isn't saved, and says so.

async function save() {
  try {
    await window.jupyterapp?.commands.execute("docmanager:save");
  } catch (problem) {
    console.warn("The notebook was not saved:", problem);
  }
}

function render({ model, el }) {
  // JupyterLab would take Enter and Space for its own commands; saving and running stay its own.
  el.addEventListener("keydown", (event) => {
    const command = event.ctrlKey || event.metaKey || event.altKey || (event.shiftKey && event.key === "Enter");
    if (!command) event.stopPropagation();
  });
  el.classList.add("warmside-lab");
  const button = document.createElement("button");
  button.type = "button";
  button.textContent = "Write my hand-in";
  const words = document.createElement("p");
  words.setAttribute("role", "status");
  el.append(button, words);

  let out = false;
  button.addEventListener("click", async () => {
    if (out) return;
    out = true;
    words.textContent = "Saving and writing …";
    await save();
    model.set("asked", model.get("asked") + 1);
    model.save_changes();
  });
  const answer = () => {
    out = false;
    words.textContent = model.get("answer").words;
  };
  model.on("change:answer", answer);
  answer();
}

export default { render };
