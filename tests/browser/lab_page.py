"""A lab's page in a browser without a server: script and answers are real, the wire is a function."""

import json
from typing import Any

from playwright.sync_api import Locator, Page

from warmside.show.lab import Lab

_PAGE = """<!doctype html><html lang="en"><head><title>A lab</title>
<style>body { margin: 0; } h1 { position: absolute; clip-path: inset(50%); } STYLE</style></head>
<body><main><h1>A lab</h1><div id="lab"></div></main></body></html>"""
_START = """
async ([script, page, answer]) => {
  const heard = { "change:answer": [], "msg:custom": [] };
  const state = { page, answer };
  const model = {
    get: (name) => state[name],
    on: (event, does) => heard[event].push(does),
    send: async (question) => {
      const [next, messages] = JSON.parse(await window.askLab(JSON.stringify(question)));
      for (const message of messages) for (const does of heard["msg:custom"]) does(message);
      if (!next) return;
      state.answer = next;
      for (const does of heard["change:answer"]) does();
    },
  };
  const url = URL.createObjectURL(new Blob([script], { type: "text/javascript" }));
  const { default: widget } = await import(url);
  widget.render({ model, el: document.getElementById("lab") });
}
"""


def lab_on(page: Page, lab: Lab) -> Locator:
    """Show a lab on a page, and answer what it asks; return where it is."""
    messages: list[Any] = []
    lab.send = lambda content, buffers=None: messages.append(content)

    def answered(question: str) -> str:
        messages.clear()
        asked = json.loads(question)
        lab.ask(asked)
        return json.dumps([None if "ahead" in asked else lab.answer, messages])

    page.expose_function("askLab", answered)
    page.set_content(_PAGE.replace("STYLE", lab._css))
    page.evaluate(_START, [lab._esm, lab.page, lab.answer])
    return page.locator("#lab")
