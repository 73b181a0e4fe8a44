"""Pages as a browser shows them: opened from a file, and all they say and ask for is kept."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from pathlib import Path

    from playwright.sync_api import Browser, BrowserContext, Dialog, Page, Route

TELEPHONE, DESK = 390, 1280
"""How wide a screen is, in CSS pixels."""

PLAIN = """
const plain = (node) => node.nodeType === Node.TEXT_NODE ? node.data
  : node.classList?.contains("us") ? "" : [...node.childNodes].map(plain).join("");
"""
"""Reads the text of a node in metric units, whatever is shown."""

PICK_ALL = """
const tell = (select, value) => {
  select.value = value;
  select.dispatchEvent(new Event("change", { bubbles: true }));
};
const pickAll = (look) => {
  for (const article of document.querySelectorAll("article.drawn")) {
    const [techniques, banks, runs] = article.querySelectorAll("select");
    const list = (select) => [...select.options].map((option) => option.value);
    for (const technique of list(techniques)) {
      tell(techniques, technique);
      for (const bank of list(banks)) {
        tell(banks, bank);
        for (const running of list(runs)) {
          tell(runs, running);
          look(article, [techniques, banks, runs].map((select) => select.selectedOptions[0]));
        }
      }
    }
  }
};
"""
"""Picks everything that can be picked, as a reader does, and looks at each."""


class Opener:
    """Opens pages; `said`: console, errors and dialogs; `asked`: requests but for the file."""

    def __init__(self, browser: Browser, path: Path) -> None:
        self.browser, self.path = browser, path
        self.said: list[str] = []
        self.asked: list[str] = []
        self.contexts: list[BrowserContext] = []

    def __call__(self, text: str, width: int = DESK, *, scripts: bool = True) -> Page:
        """Return a page that shows a text."""
        self.path.write_text(text, encoding="utf-8")
        context = self.browser.new_context(
            viewport={"width": width, "height": 844}, java_script_enabled=scripts
        )
        self.contexts.append(context)
        page = context.new_page()
        page.on("console", lambda message: self.said.append(message.text))
        page.on("pageerror", lambda error: self.said.append(str(error)))
        page.on("dialog", self._close_dialog)
        page.route("**/*", self._route)
        page.goto(self.path.as_uri())
        return page

    def _close_dialog(self, dialog: Dialog) -> None:
        self.said.append(dialog.message)
        dialog.dismiss()

    def _route(self, route: Route) -> None:
        """Let the file itself through and nothing else."""
        if route.request.url == self.path.as_uri():
            route.continue_()
        else:
            self.asked.append(route.request.url)
            route.abort()

    def close(self) -> None:
        """Close all pages."""
        for context in self.contexts:
            context.close()


def unfold(page: Page) -> None:
    """Open all that is folded."""
    page.evaluate('document.querySelectorAll("details").forEach((one) => { one.open = true; })')


def look_at_all(page: Page, look: str) -> list[Any]:
    """Return what a function of an article and its three chosen options says of every pick."""
    found: list[Any] = page.evaluate(
        f"() => {{ {PLAIN} {PICK_ALL} const found = []; "
        f"pickAll((article, chosen) => found.push(({look})(article, chosen))); return found; }}"
    )
    return found
