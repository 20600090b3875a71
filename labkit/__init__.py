"""Practise finding faults in a boat's DC electrics.

These names are the front door; everything else is plumbing. They are loaded when first used, so
that `import labkit` is quick::

    from labkit import bench, draw, load_circuit

    boat = load_circuit("exercises/circuits/washdown.toml")
    draw(boat)      # the circuit
    bench(boat)     # a bench to work at
"""

from __future__ import annotations

from labkit.text.lazy import names_of

_HOMES = {
    # circuits and what is computed of them
    "Circuit": "circuits.circuit",
    "CircuitError": "text.messages",
    "Via": "circuits.circuit",
    "build_circuit": "circuits.circuit",
    "load_circuit": "circuits.circuit_file",
    "series": "circuits.circuit:run",
    "solve": "solving.solver",
    "read": "measuring.meter",
    "draw": "drawing",
    "Bench": "aboard.bench",
    "play": "clock.playing",
    # what to measure, and what it leaves
    "rank": "diagnosis",
    "plan": "diagnosis",
    # exercises and hunts
    "load_exercise": "exercises.dealing:open_exercise",
    "Hunt": "hunts.hunt",
    "KeptHunt": "hunts.kept",
    "debrief": "hunts.debrief",
    "progress": "hunts.progress",
    # questions
    "Cause": "questions",
    "Choose": "questions",
    "NameFault": "questions",
    "Order": "questions",
    "Predict": "questions",
    "PredictBoth": "questions",
    "Remains": "questions",
    "Repair": "questions",
    "Separate": "questions",
    "SurveyBoat": "questions",
    # on a notebook's page
    "ask": "widgets",
    "bench": "widgets",
    "exam": "widgets",
    "hunt": "widgets",
    "ladder": "widgets:LadderCard",
    "lesson": "lessons.page",
    "preview": "widgets:PreviewCard",
    "size": "widgets:SizeCard",
    "staircase": "paper.charts",
    "chart": "paper.strip_chart",
    # a boat of one's own
    "boat": "widgets:BoatForm",
    "job": "widgets",
    "log": "widgets:LogCard",
    "practise": "widgets",
    "proof": "widgets:ProofCard",
    "work_in": "jobs.folder",
    "command": "cli.main",
    "desk_in": "cli.at_desk",
}  # a name's module, and after a colon the name it has there where that is another one

__all__ = sorted(_HOMES)

__getattr__, __dir__ = names_of(__name__, _HOMES)
