"""How warm everything is at a bench: the minutes that acts take pass for the boat too."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from labkit.circuits.circuit import Circuit
from labkit.clock.bodies import State, individuals
from labkit.clock.course import Course
from labkit.clock.warmth_words import smelt, too_hot
from labkit.clock.world import World


class Warmth:
    """What has warmed since somebody stepped aboard.

    Time is only reckoned when somebody asks: until then the circuits and their minutes are kept.
    """

    def __init__(self) -> None:
        self._waiting: list[tuple[Circuit, float]] = []
        self._states: dict[str, State] = {}
        self._surfaces: dict[str, float] = {}

    @property
    def kept(self) -> tuple[list[tuple[Circuit, float]], dict[str, State], dict[str, float]]:
        """Circuits and their seconds not yet reckoned, and how warm it was before them."""
        return list(self._waiting), dict(self._states), dict(self._surfaces)

    def take_up(
        self,
        waiting: list[tuple[Circuit, float]],
        states: dict[str, State],
        surfaces: dict[str, float],
    ) -> None:
        """Begin where it was left; see :attr:`kept`."""
        self._waiting, self._states, self._surfaces = waiting, states, surfaces

    def spend(self, circuit: Circuit, seconds: float) -> None:
        """Let time pass in which the boat is as it is. [s]"""
        if self._waiting and self._waiting[-1][0] is circuit:
            seconds += self._waiting.pop()[1]
        self._waiting.append((circuit, seconds))

    def now(self, circuit: Circuit) -> World:
        """The circuit as warm as it is now."""
        for before, seconds in self._waiting:
            course = self._course(replace(before, water=None), heat_only=True)
            self._keep(course.play(seconds).world)
        self._waiting.clear()
        return self._course(circuit, heat_only=True).world

    def drained(self, circuit: Circuit, id: str, charge: tuple[float, float]) -> None:
        """Leave a battery with this charge near its plates and in the bulk of them."""
        self._keep(self.now(circuit))
        self._states[id] = charge
        self._surfaces.pop(id, None)

    def wait(
        self, circuit: Circuit, seconds: float, show: tuple[str, ...] = ("DC-",), sea: bool = False
    ) -> Course:
        """Let time pass with everything that follows from it.

        Parameters
        ----------
        circuit : Circuit
        seconds : float
            [s]
        show : tuple of str
            Points and parts whose series are kept.
        sea : bool
            Whether the boat is at sea, where what is loose lets go now and then.
        """
        self.now(circuit)
        course = self._course(circuit, show)
        course.vibration.rough(sea, 0.0)
        course.play(seconds)
        self._keep(course.world)
        return course

    def _course(
        self, circuit: Circuit, show: tuple[str, ...] = ("DC-",), heat_only: bool = False
    ) -> Course:
        own = individuals(circuit, circuit.title)
        course = Course(circuit, show=show, samples=own, heat_only=heat_only, running=True)
        course.world.take(self._states, self._surfaces)
        return course

    def _keep(self, world: World) -> None:
        self._states = {id: body.state for id, body in world.bodies.items()}
        self._surfaces = dict(world.surfaces)


def smells(world: World) -> str:
    """What nose and eye tell in passing, '' where nothing: a smell has no place, smoke has."""
    told: Mapping[str, str] = {
        id: word for id, body in world.bodies.items() if body.warms and (word := smelt(body))
    }
    seen = [f"{id} {word}" for id, word in told.items() if "smokes" in word or "glows" in word]
    if seen:
        return ", ".join(seen)
    return "something smells of hot insulation" if told else ""


def left_hot(world: World) -> tuple[dict[str, float], dict[str, float]]:
    """How warm every part is, and what its insulation bears. [C]"""
    warm = [(id, body) for id, body in world.bodies.items() if body.warms]
    return (
        {id: body.celsius for id, body in warm},
        {id: max(too_hot(body), INSULATION) for id, body in warm},
    )


INSULATION = 105.0
"""What a good wire's insulation is rated for. [C] 33 CFR 183.425, table 5, has seven ratings."""
