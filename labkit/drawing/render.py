"""From a placement to SVG: one group for each part, so that style sheets and tests can find it."""

from __future__ import annotations

import hashlib
import math
import re
from collections.abc import Mapping
from functools import lru_cache
from itertools import pairwise
from xml.etree import ElementTree as ET

from labkit.drawing.contacts import BLADE, CLOSED, HALF_COIL, UNIT
from labkit.drawing.content import DOT, HALF_HEIGHT
from labkit.drawing.geometry import Label, Link, Point, Wire
from labkit.drawing.ink import schemdraw
from labkit.drawing.links import is_coil
from labkit.drawing.pen import Clip, Placed, Placement
from labkit.drawing.seen import Seen
from labkit.drawing.symbols import marks, symbol
from labkit.drawing.text import BODY, FONT_FAMILY, SMALL
from labkit.drawing.throws import POLE

LINE_WIDTH = 1.6

_MOST_KEPT = 4096
"""Parts remembered as drawn: those of a dozen whole boats, some 4 MB. Our choice."""

_SAG = 0.1
"""How far the wire of what is clipped on hangs through, as a share of its length. Our choice."""

_PARTS = "parts"  # stands where the parts go, which are text already

_INK, _PAPER, _CLIP = "#1b1e23", "#ffffff", "#2e8b57"
# Plain colours stand in the attributes, for programs that know no style sheets. Browsers take
# the colours of the page where it names them, or else those of the reader's light or dark theme.
_STYLE = """
.labkit-drawing{--ink:var(--jp-content-font-color1,#1b1e23);--paper:var(--jp-layout-color0,#fff)}
@media (prefers-color-scheme:dark){.labkit-drawing{--ink:var(--jp-content-font-color1,#e4e7eb);\
--paper:var(--jp-layout-color0,#16181c)}}
.labkit-drawing .ink{stroke:var(--ink)}
.labkit-drawing .full,.labkit-drawing .words{fill:var(--ink)}
.labkit-drawing .paper{fill:var(--paper)}
"""


def number_text(value: float) -> str:
    """A coordinate, to a hundredth of a pixel."""
    return f"{round(value, 2) + 0.0:g}"


def to_svg(
    placement: Placement, seen: Mapping[str, Seen], style: str, numbers: Mapping[str, int],
    title: str, description: str, told: Mapping[str, str], apart: Mapping[str, int],
) -> str:  # fmt: skip  # rows that a reader compares
    """Write the SVG.

    `seen` and `told` give each part's look and its words, by id and terminals; `apart` the number
    of the test point each terminal was taken apart from.
    """
    width, height = number_text(placement.width), number_text(placement.height)
    root = ET.Element(
        "svg",
        {
            "xmlns": "http://www.w3.org/2000/svg",
            "class": "labkit-drawing",
            "role": "img",
            "viewBox": f"0 0 {width} {height}",
            "width": width,
            "height": height,
            "font-family": FONT_FAMILY,
            "font-size": number_text(BODY),
        },
    )
    ET.SubElement(root, "title").text = title
    ET.SubElement(root, "desc").text = description
    ET.SubElement(root, "style").text = _STYLE
    ET.SubElement(
        root, "rect", {"class": "paper", "width": width, "height": height, "fill": _PAPER}
    )
    ink = ET.SubElement(
        root,
        "g",
        {
            "class": "ink",
            "stroke": _INK,
            "fill": "none",
            "stroke-width": str(LINE_WIDTH),
            "stroke-linecap": "round",
            "stroke-linejoin": "round",
        },
    )
    _wires(ink, placement, numbers)
    parts = []
    for placed in placement.parts:
        key = part_key(placed)
        parts.append(_part(placed, seen[key], style, told[key]))
    ET.SubElement(ink, _PARTS)
    for link in placement.sheet.links:
        _link(ink, link, placement.parts, seen)
    for terminal, start, end in placement.gaps:
        _gap(ink, terminal, start, end, placement.posts[terminal])
    _points(root, placement, numbers, apart)
    for clip in placement.clips:
        _loose(root, clip)
    words = ET.SubElement(root, "g", {"class": "words", "fill": _INK})
    for label in placement.sheet.labels:
        _label(words, label)
    drawn = ["".join(parts)]
    for clip in placement.clips:
        _badge(root, clip)
        key = part_key(clip.placed)
        drawn.append(_part(clip.placed, seen[key], style, told[key]))
    texts = iter(drawn)
    svg = re.sub(f"<{_PARTS} />", lambda _: next(texts), ET.tostring(root, encoding="unicode"))
    return _named(svg)


def part_key(placed: Placed) -> str:
    """Tells one pass of a part from another."""
    step = placed.step
    return f"{step.id} {step.enter}-{step.leave}"


def _named(svg: str) -> str:
    """Tie title and description to the drawing by ids no other drawing on a page has."""
    mark = hashlib.sha256(svg.encode("ascii", "xmlcharrefreplace")).hexdigest()[:10]
    title, account = f"labkit-{mark}-title", f"labkit-{mark}-desc"
    svg = svg.replace("><title>", f' aria-labelledby="{title} {account}"><title id="{title}">', 1)
    return svg.replace("<desc>", f'<desc id="{account}">', 1)


def _wires(ink: ET.Element, placement: Placement, numbers: Mapping[str, int]) -> None:
    by_node: dict[str, list[Wire]] = {}
    for wire in placement.sheet.wires:
        by_node.setdefault(wire.node, []).append(wire)
    for node, wires in by_node.items():
        path = " ".join(
            f"M{number_text(w.start.x)} {number_text(w.start.y)}"
            f"L{number_text(w.end.x)} {number_text(w.end.y)}"
            for w in wires
        )
        made = ET.SubElement(ink, "path", {"class": "wire", "d": path})
        if node in numbers:
            made.set("data-point", str(numbers[node]))
    for node, point in placement.sheet.joins:
        ET.SubElement(
            ink,
            "circle",
            {
                "class": "full",
                "fill": _INK,
                "stroke": "none",
                "data-point": str(numbers[node]),
                "cx": number_text(point.x),
                "cy": number_text(point.y),
                "r": "3",
            },
        )


@lru_cache(maxsize=_MOST_KEPT)
def _part(placed: Placed, seen: Seen, style: str, told: str) -> str:
    """Draw one part; what looks as it did is not drawn again."""
    step = placed.step
    group = ET.Element("g", {"class": f"part {step.kind}", "data-part": step.id})
    ET.SubElement(group, "title").text = told
    drawing = schemdraw.Drawing(canvas=group, show=False)
    drawing.config(inches_per_unit=UNIT / 72, lw=LINE_WIDTH, color="black")
    element = symbol(step, seen, style)
    ends = placed.first, placed.second
    if step.throw and step.leave == POLE:  # drawn from its pole, the third contact below
        ends = placed.second, placed.first
    if ends[1].x < ends[0].x:
        element.flip()
    element.endpoints(*map(_units, ends))
    drawing.add(element)
    drawing.get_imagedata("svg")  # draws into the group
    for shape in list(group):
        if shape.tag == "title":
            continue
        _plain(shape)
        if not _has_ink(shape):
            group.remove(shape)
    letters = marks(element)
    size, half = (15.0 if len(letters) == 1 else 13.0), float(getattr(element, "width", 1.0)) / 2
    for letter, x, y in letters:
        _letter(group, letter, placed, (x - half) * UNIT, y * UNIT, size)
    return ET.tostring(group, encoding="unicode")


def _units(point: tuple[float, float]) -> tuple[float, float]:
    return point[0] / UNIT, -point[1] / UNIT


def _letter(
    group: ET.Element, letter: str, placed: Placed, along: float, across: float, size: float
) -> None:
    """Write a letter upright, so far from the middle of the symbol along and across its wire."""
    dx = (placed.second.x > placed.first.x) - (placed.second.x < placed.first.x)
    dy = (placed.second.y > placed.first.y) - (placed.second.y < placed.first.y)
    middle_x = (placed.first.x + placed.second.x) / 2 + along * dx + across * dy
    middle_y = (placed.first.y + placed.second.y) / 2 + along * dy - across * abs(dx)
    if dy:
        middle_y = (placed.first.y + placed.second.y) / 2 + along * dy
        middle_x = (placed.first.x + placed.second.x) / 2 + across * dy
    made = ET.SubElement(
        group,
        "text",
        {
            "class": "words",
            "fill": _INK,
            "stroke": "none",
            "text-anchor": "middle",
            "x": number_text(middle_x),
            "y": number_text(middle_y + 0.36 * size),
            "font-size": number_text(size),
        },
    )
    made.text = letter


def _has_ink(shape: ET.Element) -> bool:
    """Tell whether a shape draws anything: leads without length do not."""
    places = re.findall(r"([MLAaCQ])([^MLAaCQ]*)", shape.get("d", ""))
    drawn = [(way, here, before) for (_, before), (way, here) in pairwise(places)]
    return "d" not in shape.attrib or any(
        way != "M" and here.strip() != before.strip() for way, here, before in drawn
    )


def _plain(shape: ET.Element) -> None:
    """Round the coordinates; leave to the group what all have alike, to style sheets the colour.

    A line that rounding leaves without length is dropped, since the last bit of a float decides
    whether it is there.
    """
    for key in ("d", "points"):
        if key in shape.attrib:
            rounded = re.sub(r"-?\d+\.\d+", lambda m: number_text(float(m[0])), shape.attrib[key])
            shape.set(key, re.sub(r"([ML] (\S+))(?: L \2(?!\S))+", r"\1", rounded))
    style = dict(item.split(":", 1) for item in shape.attrib.pop("style", "").split(";") if item)
    if style.get("fill", "none").strip() == "black":
        shape.set("class", "full")
        shape.set("fill", _INK)
    width = style.get("stroke-width", "").strip()
    if width and float(width) != LINE_WIDTH:
        shape.set("stroke-width", width)
    dashes = style.get("stroke-dasharray", "-").strip()
    if dashes not in ("-", "none"):
        shape.set("stroke-dasharray", dashes)


def _gap(ink: ET.Element, terminal: str, start: Point, end: Point, post: Point) -> None:
    """Draw a connection taken apart: two ends that do not meet, one led to its test point."""
    (x1, y1), (x2, y2) = start, end
    across = (0.0, 5.0) if y1 == y2 else (5.0, 0.0)
    path = " ".join(
        f"M{number_text(x - across[0])} {number_text(y - across[1])}"
        f"L{number_text(x + across[0])} {number_text(y + across[1])}"
        for x, y in ((x1, y1), (x2, y2))
    )
    path += f" M{number_text(x1)} {number_text(y1)}L{number_text(post.x)} {number_text(post.y)}"
    made = ET.SubElement(ink, "path", {"class": "parted", "data-terminal": terminal, "d": path})
    ET.SubElement(made, "title").text = f"{terminal} is taken apart"


def _link(ink: ET.Element, link: Link, parts: list[Placed], seen: Mapping[str, Seen]) -> None:
    """Draw a mechanical link, its ends led on to the coil's side or the contact's blade."""
    corners = list(link.corners)
    for n in (0, -1):
        end = corners[n]
        placed = next(
            p
            for p in parts
            if p.step.id == link.part
            and p.middle.x == end.x
            and abs(abs(p.middle.y - end.y) - HALF_HEIGHT) < 0.01
        )
        if is_coil(placed.step):
            side = HALF_COIL if end.y > placed.middle.y else -HALF_COIL
        else:
            side = -BLADE[seen[part_key(placed)].state in CLOSED]
        corners[n] = Point(end.x, placed.middle.y + side * UNIT)
    path = "L".join(f"{number_text(x)} {number_text(y)}" for x, y in corners)
    dashed = {"stroke-width": "1.2", "stroke-dasharray": "2 4"}
    ET.SubElement(ink, "path", {"class": "link", "data-part": link.part, "d": f"M{path}", **dashed})


def _points(
    root: ET.Element, placement: Placement, numbers: Mapping[str, int], apart: Mapping[str, int]
) -> None:
    group = ET.SubElement(root, "g", {"class": "points", "font-size": number_text(SMALL)})
    posts = [(f"{apart[name]}'", post) for name, post in placement.posts.items()]
    for number, point in (*((str(numbers[n]), p) for n, p in placement.points.items()), *posts):
        made = ET.SubElement(group, "g", {"class": "point", "data-point": number})
        x, y = number_text(point.x), number_text(point.y)
        ET.SubElement(
            made,
            "circle",
            {
                "class": "ink paper",
                "fill": _PAPER,
                "stroke": _INK,
                "stroke-width": "1.2",
                "cx": x,
                "cy": y,
                "r": number_text(DOT),
            },
        )
        words = ET.SubElement(
            made,
            "text",
            {
                "class": "words",
                "fill": _INK,
                "text-anchor": "middle",
                "x": x,
                "y": number_text(point.y + 0.36 * SMALL),
            },
        )
        words.text = number


def _loose(root: ET.Element, clip: Clip) -> None:
    """Draw the two loose wires of what is clipped on, from the rims of its points to its badge."""
    ends = {"fill": "none", "stroke": _CLIP, "stroke-width": "2.6", "stroke-linecap": "round"}
    group = ET.SubElement(root, "g", {"class": "loose", **ends})
    for end, side in zip(clip.ends, (clip.placed.first, clip.placed.second), strict=True):
        far = math.dist(end, side) or 1.0
        rim = Point(end.x + (side.x - end.x) * DOT / far, end.y + (side.y - end.y) * DOT / far)
        hangs = Point((rim.x + side.x) / 2, (rim.y + side.y) / 2 + _SAG * far)
        places = [f"{number_text(x)} {number_text(y)}" for x, y in (rim, hangs, side)]
        ET.SubElement(group, "path", {"d": "M{}Q{} {}".format(*places)})


def _badge(root: ET.Element, clip: Clip) -> None:
    """Draw the badge of what is clipped on, its symbol to be put in, and its words."""
    ink = {"stroke": _INK, "fill": "none", "stroke-width": str(LINE_WIDTH)}
    group = ET.SubElement(root, "g", {"class": "clip ink", "data-clip": clip.placed.step.id, **ink})
    left, top, right, bottom = clip.box
    size = {"x": left, "y": top, "width": right - left, "height": bottom - top, "rx": 5}
    paper = {"class": "paper", "fill": _PAPER, "stroke": _CLIP}
    ET.SubElement(group, "rect", {**paper, **{k: number_text(v) for k, v in size.items()}})
    ET.SubElement(group, _PARTS)
    words = ET.SubElement(group, "g", {"class": "words", "fill": _INK, "stroke": "none"})
    _label(words, clip.label)


def _label(words: ET.Element, label: Label) -> None:
    made = ET.SubElement(
        words, "text", {"class": label.role, "x": number_text(label.x), "y": number_text(label.y)}
    )
    if label.anchor != "start":
        made.set("text-anchor", label.anchor)
    if label.role == "terminal":
        made.set("font-size", number_text(SMALL))
    if label.role == "name":
        made.set("font-style", "italic")
    if label.bold:
        strong = ET.SubElement(made, "tspan", {"font-weight": "bold"})
        strong.text, strong.tail = label.text[: label.bold], label.text[label.bold :]
    else:
        made.text = label.text
