"""What came of a campaign: kept hunt by hunt, counted, and laid out as a table and a chart."""

import json
from collections.abc import Iterator, Sequence
from dataclasses import asdict, dataclass, field
from io import BytesIO
from pathlib import Path

HEAD = "kind     hunts  right   part  sure+wrong  and fitting  unfit  noticed  readings"

GOALS = {
    "plain": "right 95, part 98, sure and wrong under 1; 1.3 times the readings of exact at most",
    "mild": "right 80, sure and wrong under 2",
    "hidden": "noticed 90; sure, elsewhere and fitting under 3",
    "second": "noticed 90; sure, wrong and fitting under 5",
    "slip": "noticed 90; sure, wrong and fitting under 10",
}
"""Of 100."""


@dataclass(frozen=True)
class Came:
    """How one hunt ended."""

    kind: str
    key: str
    boat: str
    wrong: str
    said: list[str]
    belief: float
    fits: bool
    readings: int
    right: bool
    part: bool
    sure_wrong: bool
    steps: list[tuple[float, bool]] = field(default_factory=list)
    seen: list[str] = field(default_factory=list)

    def __str__(self) -> str:
        fits = "fits" if self.fits else "does not fit"
        said = " or ".join(self.said)
        return (
            f"  {self.key}: {self.wrong}: said {said} {self.belief:.2f}, {fits}, "
            f"{self.readings} readings"
        )


class Kept:
    """Hunts that were followed to their end, in a file of a line each where one is named."""

    def __init__(self, file: Path | None = None) -> None:
        self.file, self.hunts = file, dict[str, Came]()
        if file is not None and file.exists():
            for text in file.read_text(encoding="utf-8").splitlines():
                came = Came(**json.loads(text))
                self.hunts[came.key] = came

    def __contains__(self, key: str) -> bool:
        return key in self.hunts

    def add(self, came: Came) -> None:
        self.hunts[came.key] = came
        if self.file is not None:
            with self.file.open("a", encoding="utf-8") as out:
                out.write(json.dumps(asdict(came)) + "\n")

    def of(self, kind: str) -> list[Came]:
        return [came for came in self.hunts.values() if came.kind == kind]

    def kinds(self) -> list[str]:
        return list(dict.fromkeys(came.kind for came in self.hunts.values()))

    def steps(self) -> list[tuple[float, bool]]:
        """Belief in what was named after each reading of the plain hunts, and if that was it."""
        return [(b, ok) for came in self.of("plain") for b, ok in came.steps]


def line(kind: str, hunts: Sequence[Came]) -> str:
    """One line under HEAD."""
    counts = (
        sum(c.right for c in hunts),
        sum(c.part for c in hunts),
        sum(c.sure_wrong for c in hunts),
        sum(c.sure_wrong and c.fits for c in hunts),
        sum(not c.fits for c in hunts),
        sum(c.part or not c.fits for c in hunts),
    )
    right, part, wrong, fitting, unfit, noticed = counts
    mean = sum(c.readings for c in hunts) / max(len(hunts), 1)
    return (
        f"{kind:8} {len(hunts):5} {right:6} {part:6} {wrong:11} {fitting:12} {unfit:6} "
        f"{noticed:8} {mean:9.1f}"
    )


def bins(steps: Sequence[tuple[float, bool]]) -> Iterator[tuple[float, float, int]]:
    """Said, was and how often, tenth by tenth."""
    for low in range(10):
        some = [(b, ok) for b, ok in steps if min(int(b * 10), 9) == low]
        if some:
            count = len(some)
            yield sum(b for b, _ in some) / count, sum(ok for _, ok in some) / count, count


def calibration_error(steps: Sequence[tuple[float, bool]]) -> float:
    """Mean distance of what was said from what was, over all steps."""
    return sum(abs(said - was) * n for said, was, n in bins(steps)) / max(len(steps), 1)


def table(kept: Kept) -> str:
    """All kinds, the goals, and the calibration, as Markdown."""
    seeds = sorted({came.key.split()[-1] for came in kept.hunts.values()})
    lines = [f"{len(kept.hunts)} hunts; dealt by seed {', '.join(seeds)}.", ""]
    lines += ["```", HEAD, *(line(kind, kept.of(kind)) for kind in kept.kinds()), "```", ""]
    lines += [f"- {kind}, of 100: {goal}." for kind, goal in GOALS.items() if kept.of(kind)]
    steps = kept.steps()
    if steps:
        lines += ["", "| said | was | steps |", "|---|---|---|"]
        lines += [f"| {said:.2f} | {was:.2f} | {n} |" for said, was, n in bins(steps)]
        lines += ["", f"Expected calibration error {calibration_error(steps):.3f} (goal 0.05)."]
    return "\n".join(lines) + "\n"


def chart(steps: Sequence[tuple[float, bool]]) -> bytes:
    """Said against was, as an SVG that is the same for the same steps; a dot grows with its steps.

    The bar of a dot is one standard deviation of that many draws.
    """
    import matplotlib
    from matplotlib.figure import Figure

    matplotlib.rcParams["svg.hashsalt"] = "calibration"
    figure = Figure((4.8, 4.8), layout="constrained")
    axes = figure.subplots()
    axes.plot([0, 1], [0, 1], color="0.6", linewidth=1, label="as said")
    found = list(bins(steps))
    most = max((n for *_, n in found), default=1)
    for said, was, n in found:
        off = (max(was * (1 - was), 0.01) / n) ** 0.5
        axes.plot([said, said], [was - off, was + off], color="tab:blue", linewidth=1)
        axes.scatter(said, was, 20 + 180 * n / most, color="tab:blue")
        axes.annotate(str(n), (said, was), textcoords="offset points", xytext=(8, -12), fontsize=8)
    axes.set(xlim=(0, 1.05), ylim=(0, 1.05), xlabel="belief in the likeliest name and those alike",
             ylabel="share of steps in which it was right")  # fmt: skip  # in rows
    axes.set_title(f"Calibration: {len(steps)} steps, error {calibration_error(steps):.3f}")
    axes.legend(loc="upper left", frameon=False)
    out = BytesIO()
    figure.savefig(out, format="svg", metadata={"Date": None, "Creator": None})
    return out.getvalue()
