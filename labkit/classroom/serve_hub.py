"""JupyterHub as `labkit class` starts it: ``python -m labkit.classroom.serve_hub -f FILE``."""

from __future__ import annotations

from importlib import import_module


def main() -> None:
    """Start the hub, and end when it ends."""
    import_module("labkit.classroom.without_grammar")
    from jupyterhub.app import main as hub

    hub()


if __name__ == "__main__":
    main()
