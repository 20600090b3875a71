"""What a class was dealt: a seed for each learner, drawn so that each variant comes as often.

The seeds stand in a file beside the exercise, ``slow-washdown.dealt``: whoever reads it can work
out what anybody was dealt, and nobody can without it. Every command that deals reads it.
"""

from __future__ import annotations

import json
import random
import secrets
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path

from labkit.text.files import write
from labkit.text.messages import CircuitError
from labkit.text.plain_file import is_there
from labkit.text.toml_file import read_toml

SUFFIX = ".dealt"


def seeds_of(file: Path) -> dict[str, str]:
    """Return the seed of each learner an exercise was dealt to.

    Parameters
    ----------
    file : Path
        The exercise's.

    Raises
    ------
    CircuitError
        If there is a list beside it that cannot be read.
    """
    listed = file.with_suffix(SUFFIX)
    if not is_there(listed):
        return {}
    seeds = read_toml(listed)
    wrong = [name for name, seed in seeds.items() if not isinstance(seed, str)]
    if wrong:
        raise CircuitError([f"{listed}: {wrong[0]}: is not a seed; deal the exercise again"])
    return seeds


def enter(
    file: Path, title: str, variants: int, names: Iterable[str], dice: random.Random | None = None
) -> dict[str, str]:
    """Deal to whoever has nothing yet, so that each variant comes as often as another; keep it.

    Parameters
    ----------
    file : Path
        The exercise's.
    title : str
        Of the exercise.
    variants : int
        How many it has.
    names : iterable of str
    dice : Random, optional
        The system's own where not said.

    Returns
    -------
    dict of str to str
        The seeds of all, earlier ones as they were.
    """
    dice = dice or secrets.SystemRandom()
    seeds = seeds_of(file)
    new = [name for name in dict.fromkeys(names) if name not in seeds]
    dice.shuffle(new)
    often = Counter({number: 0 for number in range(variants)})
    often.update(number_of(title, seed, variants) for seed in seeds.values())
    for name in new:
        least = min(often.values())
        number = dice.choice([number for number in often if often[number] == least])
        seeds[name] = _seed_for(title, number, variants, dice)
        often[number] += 1
    if new:
        listed = file.with_suffix(SUFFIX)
        write(listed, _text(seeds, sorted(seeds)))
        listed.chmod(0o600)  # learners of the same machine may read the exercise, but not this
    return seeds


def number_of(title: str, seed: str, variants: int) -> int:
    """Return which variant follows from a seed, from 0."""
    return random.Random(f"{title}/{seed}").randrange(variants)


def _seed_for(title: str, number: int, variants: int, dice: random.Random) -> str:
    """Draw seeds until one deals that variant."""
    while True:
        seed = f"{dice.getrandbits(64):016x}"
        if number_of(title, seed, variants) == number:
            return seed


def _text(seeds: Mapping[str, str], names: Sequence[str]) -> str:
    lines = [
        f"{json.dumps(name, ensure_ascii=False)} = {json.dumps(seeds[name])}" for name in names
    ]
    return "\n".join([_HEAD, *lines, ""])


_HEAD = """\
# Who was dealt what. Keep it from learners: what is wrong on each one's boat follows from it.
# Keep it, too, as long as there is something to mark; a name once dealt stays as it is."""
