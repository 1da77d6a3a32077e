// The self-checks of a lesson's page: choose, commit, read why. Without this script they open in two steps.
// The module's one door is enhance(root, kept, keep).

const STYLE = `
[data-check] { margin: 1.2em 0; padding: .8em 1.2em 1em; border: 2px solid #5a3e9e; border-radius: 10px;
  background: #fffefb; color: #1b2530; line-height: 1.5; }
[data-check] fieldset { margin: 0; padding: 0; border: 0; min-width: 0; }
[data-check] legend, [data-check] .check-question { padding: 0; margin: 0 0 .4em; font-weight: bold; }
[data-check] label { display: flex; gap: .6em; align-items: baseline; margin: .2em 0; padding: .35em .6em;
  border-radius: 6px; cursor: pointer; }
[data-check] label:hover { background: #ece6f7; }
[data-check] label:has(:checked) { background: #ece6f7; font-weight: bold; }
[data-check] input { flex: none; font: inherit; width: 18px; height: 18px; margin: 0; transform: translateY(3px);
  accent-color: #5a3e9e; }
[data-check] button { font: inherit; min-height: 44px; margin-top: .5em; padding: .3em 1.1em; border: 0;
  border-radius: 8px; background: #5a3e9e; color: #fff; cursor: pointer; }
[data-check] button:hover { background: #452e7d; }
[data-check] :is(button, summary, [role=status], input):focus-visible { outline: 3px solid #1b2530;
  outline-offset: 2px; }
[data-check] [role=status]:not(:empty) { margin: .6em 0; padding: .3em .9em; border-left: 6px solid #47535f; }
[data-check] [role=status].check-right { border-color: #00644a; }
[data-check] [role=status].check-wrong { border-color: #a63a00; }
[data-check] details { margin: .2em 0; padding: .25em .6em; }
[data-check] summary { cursor: pointer; }
[data-check] details p { margin: .3em 0 .3em 1.2em; }
[data-check] .check-tag { margin-left: .4em; padding: 0 .5em; border: 1px solid #47535f; border-radius: 6px;
  white-space: nowrap; }
@media print { [data-check] button { display: none; } [data-check] { break-inside: avoid; } }
`;

function made(tag, properties = {}, ...within) {
  const one = Object.assign(document.createElement(tag), properties);
  one.append(...within);
  return one;
}

// What stands in the plain HTML: the question, and the answers in the order shown.
function read(place) {
  const answers = [...place.querySelectorAll("[data-answer]")].map((answer) => {
    const reason = answer.querySelector("[data-reason]");
    return {
      number: Number(answer.dataset.answer),
      text: answer.querySelector("summary").textContent.trim(),
      right: reason.dataset.reason === "right",
      reason: reason.textContent.trim(),
    };
  });
  return { id: place.dataset.check, question: place.querySelector("p").textContent.trim(), answers };
}

const verdict = (answer) => (answer.right ? "✔ Yes." : "✘ Not quite.");

function say(status, answer) {
  status.className = answer.right ? "check-right" : "check-wrong";
  status.replaceChildren(made("b", { textContent: verdict(answer) }), ` ${answer.reason}`);
}

// After the commitment: every answer with its reason to open, marked in words and signs.
function told(answer, chosen) {
  const tags = [answer.right ? "✔ right" : "", answer === chosen ? "your answer" : ""].filter(Boolean);
  const marks = tags.map((textContent) => made("span", { className: "check-tag", textContent }));
  return made("details", {}, made("summary", {}, answer.text, ...marks), made("p", { textContent: answer.reason }));
}

function showAnswered(place, check, chosen, status) {
  const question = made("p", { className: "check-question", textContent: check.question });
  const others = made("p", { textContent: "Open an answer to read why:" });
  place.replaceChildren(question, status, others, ...check.answers.map((answer) => told(answer, chosen)));
}

function ask(place, check, status, keep) {
  const labels = check.answers.map((answer) => {
    const radio = made("input", { type: "radio", name: check.id, value: answer.number });
    return made("label", {}, radio, made("span", { textContent: answer.text }));
  });
  const fields = made("fieldset", {}, made("legend", { textContent: check.question }), ...labels);
  const commit = made("button", { type: "button", textContent: "That's my answer" });
  commit.addEventListener("click", () => {
    const radio = fields.querySelector(":checked");
    if (!radio) {
      status.textContent = "Choose an answer first.";
      fields.querySelector("input").focus();
      return;
    }
    const chosen = check.answers.find((answer) => answer.number === Number(radio.value));
    showAnswered(place, check, chosen, status);
    status.focus(); // before it speaks: what had the focus is gone
    say(status, chosen);
    keep(check.id, chosen.number);
  });
  place.replaceChildren(fields, commit, status);
}

/** Make each self-check below `root` one choice that is remembered.
 *
 *  kept: {id: number of the chosen answer, as in the table}, what was chosen before.
 *  keep(id, number): called once for a check, when its first answer is committed to.
 */
export function enhance(root, kept, keep) {
  if (!document.adoptedStyleSheets.some((sheet) => sheet.ofSelfChecks)) {
    const sheet = Object.assign(new CSSStyleSheet(), { ofSelfChecks: true });
    sheet.replaceSync(STYLE);
    document.adoptedStyleSheets = [...document.adoptedStyleSheets, sheet];
  }
  for (const place of root.querySelectorAll("[data-check]:not([data-asks])")) {
    const check = read(place);
    const status = made("div", { role: "status", tabIndex: -1 });
    const before = check.answers.find((answer) => answer.number === kept[check.id]);
    place.dataset.asks = "";
    if (before) {
      say(status, before);
      showAnswered(place, check, before, status);
    } else {
      ask(place, check, status, keep);
    }
  }
}
