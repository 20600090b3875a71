"""The proxy of pip, for a class: ``python -P -m labkit.classroom.proxy``, with its own options.

As it comes, it holds ten requests at a time and gives each twenty seconds; a class of thirty that
waits for its servers needs more of both, or is shown errors.
"""

from __future__ import annotations

from configurable_http_proxy.cli import main
from tornado.httpclient import AsyncHTTPClient, HTTPRequest

HELD = 2000
"""Requests at a time. Our choice: a page asks for some twenty, a class has some sixty pages."""

PATIENCE = 600.0
"""As long as a server may take to start. [s]"""


if __name__ == "__main__":
    waits = {"connect_timeout": PATIENCE, "request_timeout": PATIENCE}
    HTTPRequest._DEFAULTS.update(waits)  # its websockets can be told in no other way
    AsyncHTTPClient.configure(None, max_clients=HELD)
    main()
