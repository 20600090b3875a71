"""Letters typed at a card are the card's own."""

from __future__ import annotations

import anywidget


class Quiet(anywidget.AnyWidget):  # type: ignore[misc]
    """Keeps what is typed at cards from being taken for the notebook's commands.

    A notebook takes a letter typed at a list, such as the B of 'blown', for a command: it would
    add a cell, or cut one. This shows nothing; wherever it stands, it serves all cards of a page.
    On a dark page it turns the arrows of lists light, which widgets leave dark.
    """

    _css = """
    body[data-jp-theme-light="false"] {
      --jp-widgets-dropdown-arrow: url("data:image/svg+xml,%3Csvg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 18 18'%3E%3Cpath d='M5 7l4 4 4-4' fill='none' stroke='%23ddd' stroke-width='2'/%3E%3C/svg%3E");
    }
    """  # noqa: E501

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
