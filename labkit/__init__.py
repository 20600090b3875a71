"""Practise finding faults in a boat's DC electrics.

These names are the front door: what somebody who writes a notebook needs. They are loaded when
first used, so that `import labkit` is quick::

    from labkit import bench, draw, load_circuit

    boat = load_circuit("exercises/circuits/washdown.toml")
    draw(boat)      # the circuit
    bench(boat)     # a bench to work at

More is asked of the rooms: `labkit.questions` has what can be asked on a card (`Predict` and
others, for :func:`ask`), `labkit.diagnosis` plans, `labkit.clock.playing` and `labkit.paper` time
and charts, `labkit.circuits.circuit` builds a circuit without a file.
"""

from __future__ import annotations

from labkit.text.lazy import names_of

_HOMES = {
    # a circuit, what is computed of it, and somebody at it
    "CircuitError": "text.messages",
    "load_circuit": "circuits.circuit_file",
    "solve": "solving.solver",
    "read": "measuring.meter",
    "rank": "diagnosis",
    "draw": "drawing",
    "Bench": "aboard.bench",
    # exercises and hunts
    "load_exercise": "exercises.dealing:open_exercise",
    "KeptHunt": "hunts.kept",
    "debrief": "hunts.debrief",
    # on a notebook's page
    "ask": "widgets",
    "bench": "widgets",
    "exam": "widgets",
    "hunt": "widgets",
    "final": "widgets:FinalCard",
    "ladder": "widgets:LadderCard",
    "lesson": "lessons.page",
    "preview": "widgets:PreviewCard",
    "size": "widgets:SizeCard",
    # a boat of one's own
    "boat": "widgets:BoatForm",
    "job": "widgets",
    "log": "widgets:LogCard",
    "practise": "widgets",
    "proof": "widgets:ProofCard",
    "work_in": "jobs.folder",
    # the terminal's commands, and the instructor's desk
    "command": "cli.main",
    "desk_in": "cli.at_desk",
}  # a name's module, and after a colon the name it has there where that is another one

__all__ = sorted(_HOMES)

__getattr__, __dir__ = names_of(__name__, _HOMES)
