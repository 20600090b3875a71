"""What a page is told of a bench: only what a person at it could see, as plain data."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from labkit.drawing.sheets import shown
from labkit.hunts.hints import offered
from labkit.hunts.hunt import Hunt
from labkit.measuring.meter import FUNCTIONS
from labkit.parts import Trait
from labkit.questions.fields import Option
from labkit.questions.naming import HOW, part_options
from labkit.widgets.by_sheet import BySheet
from labkit.widgets.model import BenchModel
from labkit.widgets.places import Place
from labkit.widgets.still import bare, leads

if TYPE_CHECKING:
    from labkit.referee.remote import RemoteHunt

_END = {"red": "lead", "black": "lead"}


def drawing_state(model: BenchModel) -> dict[str, Any]:
    """The drawing, and what in it can be touched or operated. [px]"""
    drawing = model.drawing
    points = [
        {"key": p.key, "label": _point(model, p), "x": p.x, "y": p.y, "apart": "'" in p.number}
        for p in model.targets
    ]
    return {
        "svg": bare(drawing.svg),
        "width": drawing.width,
        "height": drawing.height,
        "points": points,
        "parts": _operable(model),
        "single": model.at_terminals,
        **({"sheets": _sheets(model, model.sheets)} if model.sheets else {}),
    }


def _sheets(model: BenchModel, sheets: BySheet) -> dict[str, Any]:
    """The sheets of a large boat: which is drawn, which share its nodes, clips on others."""
    page = sheets.page
    drawn = {clip.id for clip in page.of(model.seen).bridges}
    away = [clip for clip in model.seen.bridges if clip.id not in drawn]
    return {
        "here": page.number,
        "all": [[one.number, one.name] for one in sheets.pages],
        "beside": [
            {"by": " and ".join(map(shown, nodes)), "sheets": [one.number for one in pages]}
            for nodes, pages in sheets.beside
        ],
        "away": [
            f"{clip.id} from {model.where(clip.first).removeprefix('on ')} "
            f"to {model.where(clip.second).removeprefix('on ')}"
            for clip in away
        ],
    }


def _point(model: BenchModel, place: Place) -> str:
    """A place where what is in hand can be used, and what that does."""
    does = "point"
    if model.hand == "take apart":
        does = "join again" if place.key in model.seen.parted else "take apart"
    return f"{does} {place.label}"


def _operable(model: BenchModel) -> list[dict[str, Any]]:
    found, met = [], set()
    for spot in model.drawing.hot_spots:
        left, top, right, bottom = spot.bbox
        found.append(
            {
                "id": spot.id,
                "label": operating_words(model, spot.id),
                "again": spot.id in met,
                "x": left,
                "y": top,
                "width": right - left,
                "height": bottom - top,
            }
        )
        met.add(spot.id)
    return found


def operating_words(model: BenchModel, id: str) -> str:
    """A part that can be operated, how it is, and what operating it does."""
    action, args = model.handled(id)
    if action == "lift":
        return f"{id}: take it away"
    part = model.seen.part(id)
    name = f"{id}, {part.label or part.kind}"
    if action == "look":
        return f"{name}: look and listen"
    if action == "switch":
        return f"{name}, is {model.seen.positions.get(id, '')}: move to {args['to']}"
    if Trait.CARTRIDGE not in part.traits:
        return f"{name}: {'reset' if action == 'fit' else 'switch off and look at'} it"
    return f"{name}: {'fit it again' if action == 'fit' else 'pull it and look'}"


def meter_state(model: BenchModel) -> dict[str, Any]:
    """The meter and its leads."""
    reading = model.reading
    held = [{"key": p.key, "what": f"{what} {_END.get(what, 'end')}"} for what, p in model.held]
    return {
        "functions": [{"name": name, "says": f.says} for name, f in FUNCTIONS.items()],
        "function": model.function,
        "hand": model.hand,
        "display": model.display,
        "spoken": model.spoken,
        "tone": bool(reading and reading.tone),
        "leads": leads(model),
        "red": model.where(model.red),
        "black": model.where(model.black),
        "held": held,
    }


def log_state(model: BenchModel, told: int = 0) -> list[dict[str, Any]]:
    """The lines of the log, without the first so many."""
    return [line._asdict() for line in model.lines[told:]]


def offers_state(model: BenchModel) -> list[dict[str, Any]]:
    """The acts on offer, each with what can be chosen for it."""
    return [
        {
            "action": offer.action,
            "label": offer.label,
            "minutes": offer.minutes,
            "fields": [
                {"name": f.name, "label": f.label, "options": [list(o) for o in f.options]}
                for f in offer.fields
            ],
        }
        for offer in model.offers
    ]


def said_state(model: BenchModel) -> dict[str, Any]:
    """What the last act showed, what was dangerous in it, and the minutes spent."""
    return {
        "message": model.message,
        "hazards": model.hazards,
        "minutes": model.minutes,
        "begun": bool(model.bench.log),
    }


def name_options(hunt: Hunt | RemoteHunt, part: str = "") -> tuple[list[Option], list[Option]]:
    """The parts known of, and the ways one of them fails, to choose from when naming."""
    parts = part_options(hunt.bench.drawn, hunt.bench.traced)
    return list(parts), [HOW, *((word, word) for word in hunt.question.words_of(part))]


def naming_state(hunt: Hunt | RemoteHunt, said: str) -> dict[str, Any]:
    """What can be named, what was said to the last name or proof, whether the repair is proven.

    Ways to fail stand by the part; a hint is offered where readings can be weighed, but in an exam.
    """
    parts, _ = name_options(hunt)
    return {
        "parts": [list(option) for option in parts],
        "modes": {id: [list(one) for one in name_options(hunt, id)[1]] for _, id in parts},
        "said": said,
        "proven": hunt.proven is not None and hunt.proven.ok,
        "hint": offered(hunt) if isinstance(hunt, Hunt) and hunt.weighs else "",
    }
