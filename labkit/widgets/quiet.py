"""Letters typed at a card are the card's own."""

from __future__ import annotations

import anywidget


class Quiet(anywidget.AnyWidget):  # type: ignore[misc]
    """Keeps what is typed at cards from being taken for the notebook's commands.

    A notebook takes a letter typed at a list, such as the B of 'blown', for a command: it would
    add a cell, or cut one. This shows nothing; wherever it stands, it serves all cards of a page.
    """

    _esm = """
    function hush({ target }) {
      const card = ".labkit-card, .labkit-hunt, .labkit-ladder, .labkit-bench";
      if (target.closest(card)) target.dataset.lmSuppressShortcuts = "true"; // asked at the target
    }
    function render() {
      document.addEventListener("focusin", hush);
      return () => document.removeEventListener("focusin", hush);
    }
    export default { render };
    """
