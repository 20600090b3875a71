"""Acts at benches of shipped boats with any fault: invented here, and played again elsewhere.

This file is also run by the page's own Python, so it asks for nothing but what a page has.
"""

import json
import random
import tomllib
from pathlib import Path

from labkit.aboard.acts import ACTS
from labkit.aboard.bench import Bench
from labkit.circuits.circuit import Circuit
from labkit.circuits.circuit_file import load_circuit
from labkit.measuring.meter import FUNCTIONS
from labkit.text.messages import CircuitError
from labkit.widgets.model import BenchModel

LONG = 20  # acts at one boat
SLOW = ("wait", "record")  # minutes of these are courses of their own


AMOUNTS = ("", " 0.3 ohm", " 2 ohm", " 40 ohm", " 60 C")


def shipped(exercises):
    """Names of all circuits below a folder: files that lay runs."""
    files = sorted(Path(exercises).rglob("*.toml"))
    runs = [file for file in files if "run" in tomllib.loads(file.read_text("utf-8"))]
    return [file.relative_to(exercises).as_posix() for file in runs]


def fault_of(circuit, rng):
    """A fault on one of a circuit's parts, of any mode it has."""
    while True:
        part = rng.choice(list(circuit.parts.values()))
        text = f"{part.id} {rng.choice([*part.modes])}{rng.choice(AMOUNTS)}"
        try:
            circuit.with_fault(text)
        except CircuitError:
            continue
        return text


def bench_of(circuits, name, fault):
    """A bench at that boat."""
    circuit: Circuit = load_circuit(Path(circuits) / name)
    return Bench(circuit.with_fault(fault) if fault else circuit)


def invented(model, rng):
    """An act on offer, a reading, or a part operated; as the bench takes it."""
    seen = model.seen
    if rng.random() < 0.6:
        points = [place.key for place in model.places]
        function = rng.choice(sorted(FUNCTIONS))
        terminals = [t for t in seen.node_of if ":" in t and t.split(":")[0] in seen.parts]
        red = rng.choice(terminals if function == "clamp" else points)
        return "read", {"red": red, "black": rng.choice(points), "function": function}
    if rng.random() < 0.5:
        return model.handled(rng.choice(model.parts).id)
    offer = rng.choice([offer for offer in model.offers if offer.action not in SLOW])
    args = {field.name: rng.choice(field.options)[1] for field in offer.fields}
    return offer.action, {name: value for name, value in args.items() if value}


def done(bench, action, args):
    """What an act showed: words, dangers, minutes, display and where the reading lies."""
    try:
        entry = bench.act(action, **args)
    except CircuitError as error:
        return ["refused", error.problems[0].rpartition(".toml: ")[2]]
    reading = entry.reading
    shown = [entry.shows, [hazard.text for hazard in entry.hazards], round(entry.minutes, 6)]
    return [*shown, reading.spoken if reading else ""]


def invent(circuits, count, seed=0):
    """Invent so many acts, and write down what each showed here."""
    rng, boats = random.Random(seed), []
    names = shipped(circuits)
    rng.shuffle(names)
    while count > 0:
        name = names[len(boats) % len(names)]
        fault = fault_of(load_circuit(Path(circuits) / name), rng)
        bench, rows = bench_of(circuits, name, fault), []
        model = BenchModel(bench)
        for _ in range(min(LONG, count)):
            action, args = invented(model, rng)
            rows.append([action, args, done(bench, action, args)])
        boats.append([name, fault, rows])
        count -= len(rows)
    return boats


def differing(circuits, boats):
    """Play the acts again; what shows otherwise than it did there."""
    found = []
    for name, fault, rows in boats:
        bench = bench_of(circuits, name, fault)
        for number, (action, args, was) in enumerate(rows):
            now = done(bench, action, args)
            if now != was:
                found.append([name, fault, number, action, args, was, now])
    return found


def played(circuits, text):
    """The same, by text in JSON."""
    return json.dumps(differing(circuits, json.loads(text)))


assert not {*SLOW} - {*ACTS}
