"""Every hunt and survey of a page is opened, named, repaired and proven.

This file is also run by the page's own Python, so it asks for nothing but what a page has.
"""

import json
from pathlib import Path
from time import perf_counter

from labkit.anywhere.play import Page, Table
from labkit.anywhere.surveying import SurveyTable


def asked(page, what, **given):
    """Ask as the page does."""
    return json.loads(page.ask(json.dumps({"ask": what, "with": given})))


def surveyed(page, hunt):
    """Tick every danger there is."""
    told = asked(page, "answer", ticked=[c.says for c in hunt.question.claims if c.true])
    return told["states"]["survey"]["right"]


def hunted(page, hunt):
    """Name every fault, mend it, prove it; what did not come out."""
    if hunt.prove().ok:
        return "nothing is wrong with her"
    for fault in hunt.dealt.circuit.faults:
        if not any(_named(page, hunt, fault.part, mode) for mode in hunt.question.modes):
            return f"{fault.part} cannot be named"
    for fault in hunt.bench.circuit.faults:
        asked(page, "do", action="repair", id=fault.part)
    told = asked(page, "prove")
    return "" if "end" in told and told["end"]["said"] else "not proven"


def _named(page, hunt, part, mode):
    asked(page, "name", part=part, mode=mode)
    return hunt.named[-1].verdict.right


def worked(folder, learner):
    """Each hunt with what did not come out, '' where all did, and how long it took. [s]"""
    page = Page(Path(folder))
    rows = []
    for slug in json.loads((Path(folder) / "index.json").read_text("utf-8")):
        start = perf_counter()
        page.open(slug, learner)
        table = page._table
        if isinstance(table, SurveyTable):
            failed = "" if surveyed(page, table.hunt) else "what is right is not taken as right"
        else:
            assert isinstance(table, Table)
            failed = hunted(page, table.hunt)
        rows.append([slug, failed, round(perf_counter() - start, 2)])
    return rows


def played(folder, text):
    """The same in JSON, for the learner whose name is given."""
    return json.dumps(worked(folder, text))
