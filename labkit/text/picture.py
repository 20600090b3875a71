"""A picture in a notebook that says in words what it shows.

A notebook that shows a bare image gives it no alternative text, and shows no SVG at all to a reader
who has not run it. HTML with the image inside carries the text, and is shown to everybody.
"""

from __future__ import annotations

import base64
from html import escape
from urllib.parse import quote

_LEAST = 0.75
"""On a narrow screen a picture is shown at this share of its width, and scrolled. Our choice."""


def img(picture: str | bytes, alt: str, width: float, packed: bool = False) -> str:
    """A picture as HTML.

    Parameters
    ----------
    picture : str or bytes
        SVG text, or the bytes of a PNG image.
    alt : str
        What it shows, for whoever does not see it.
    width : float
        At which it is shown where there is room. [px]
    packed : bool
        Write SVG in base64 as well, where it is not to be compared letter by letter.
    """
    if packed and isinstance(picture, str):
        source = "data:image/svg+xml;base64," + base64.b64encode(picture.encode()).decode()
    elif isinstance(picture, str):
        source = "data:image/svg+xml," + quote(picture, safe=" /:;=,()")
    else:
        source = "data:image/png;base64," + base64.b64encode(picture).decode()
    wide = round(width)
    style = f"min-width:{_LEAST * wide:.0f}px;max-width:100%;height:auto"
    return f'<img alt="{escape(alt)}" width="{wide}" style="{style}" src="{escape(source)}">'
