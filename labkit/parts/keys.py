"""Keys of a part in a file: quantities with their units, and what is not known exactly of them."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from types import MappingProxyType
from typing import Annotated, Any, ClassVar, get_args

from pydantic import (
    BaseModel,
    BeforeValidator,
    ConfigDict,
    ModelWrapValidatorHandler,
    PrivateAttr,
    ValidationInfo,
    WithJsonSchema,
    model_validator,
)

from labkit.text.doubts import UNKNOWN, Doubt, doubtful, read_doubt
from labkit.text.quantities import (
    CHARGE,
    CURRENT,
    FLOW,
    FRACTION,
    LENGTH,
    POWER,
    RESISTANCE,
    SATURATION,
    TEMPERATURE,
    TIME,
    VOLTAGE,
    VOLUME,
    Kind,
    QuantityError,
)


def _key(kind: Kind) -> tuple[BeforeValidator, WithJsonSchema, Kind]:
    said = f"{kind.name} with unit, or how well it is known: {DOUBTS}"
    schema = {"type": "string", "examples": [kind.example], "description": said}
    return BeforeValidator(lambda text: _taken(text, kind)), WithJsonSchema(schema), kind


_LOAD = {"current": ("2 A", "0.5..5 A"), "power": ("15 W", "5..40 W")}

USUAL: Mapping[str, Mapping[str, tuple[str, str]]] = {
    "battery": {
        "emf": ("12.5 V", "12.2..12.8 V"),
        "charge": ("75 %", "50..100 %"),
        "capacity": ("100 Ah", "60..200 Ah"),
    },
    "breaker": {"rating": ("15 A", "5..50 A")},
    "cable": {
        "size": ("2.5 mm2", "0.75..10 mm2"),
        "length": ("4 m", "1..12 m"),
        "joints": ("1", "0..3"),
    },
    "electronics": {"power": ("25 W", "5..100 W")},
    "fuse": {"rating": ("10 A", "3..30 A")},
    "heater": _LOAD,
    "lamp": _LOAD,
    "motor": {"current": ("5 A", "2..12 A"), "power": ("60 W", "25..150 W")},
    "supply": {"voltage": ("14.1 V", "13.4..14.6 V")},
}
"""For keys of which "?" may be written, by kind of part: what is taken, and between what the trade
uses it; voltages of a 12 V boat. Common practice, no source."""

DOUBTS = '"?", between "a..b", "a +- 20 %", "about a"'
"""How a quantity is written that nobody knows exactly."""


def _taken(text: object, kind: Kind) -> float:
    """The quantity, or the middle of a doubt about it."""
    if not doubtful(text):
        return kind.parse(text)
    assert isinstance(text, str)
    if text.strip() == UNKNOWN:
        raise QuantityError(
            f'found "?", and nothing is usual there; write {kind.name}, such as '
            f'"{kind.example}" or "about {kind.example}"'
        )
    return read_doubt(text, kind.parse).middle


Volts = Annotated[float, *_key(VOLTAGE)]
Amps = Annotated[float, *_key(CURRENT)]
JunctionAmps = Annotated[float, *_key(SATURATION)]
Ohms = Annotated[float, *_key(RESISTANCE)]
Watts = Annotated[float, *_key(POWER)]
Coulombs = Annotated[float, *_key(CHARGE)]
Metres = Annotated[float, *_key(LENGTH)]
Seconds = Annotated[float, *_key(TIME)]
Fraction = Annotated[float, *_key(FRACTION)]
Celsius = Annotated[float, *_key(TEMPERATURE)]
CubicMetres = Annotated[float, *_key(VOLUME)]
Flow = Annotated[float, *_key(FLOW)]


class InDoubt(BaseModel):
    """Keys of which some may be in doubt: the middle is taken, and the doubt remembered."""

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)

    kind: ClassVar[str] = ""
    also_in_doubt: ClassVar[tuple[str, ...]] = ()

    _doubts: dict[str, Doubt] = PrivateAttr(default_factory=dict)
    _printed: str | None = PrivateAttr(None)  # on the plate, where that is not what it is

    @model_validator(mode="wrap")
    @classmethod
    def _in_doubt(
        cls, keys: Any, handler: ModelWrapValidatorHandler[Any], info: ValidationInfo
    ) -> Any:
        """Take the middle of what is in doubt, and remember the doubt."""
        if not isinstance(keys, dict):
            return handler(keys)
        unsure = {key: text for key, text in keys.items() if key in _kinds(cls) and doubtful(text)}
        exact, found = dict(keys), {}
        for key, text in unsure.items():
            if text.strip() == UNKNOWN:
                system = (info.context or {}).get("system", 12.0)
                found[key] = cls._usually(key, system)
                if found[key].taken:
                    exact[key] = found[key].taken
                elif not cls._required(key):
                    del exact[key]
        part = handler(exact)
        for key, text in unsure.items():
            part._doubts[key] = found.get(key) or cls.read_doubt(key, text)
        return part

    @classmethod
    def _required(cls, key: str) -> bool:
        fields = cls.model_fields.items()
        return any(field.is_required() for name, field in fields if (field.alias or name) == key)

    @classmethod
    def _usually(cls, key: str, system: float) -> Doubt:
        """What the trade uses where nothing is known."""
        if key not in USUAL.get(cls.kind, {}):
            return Doubt(UNKNOWN, "")
        taken, between = USUAL[cls.kind][key]
        limits = cls.read_doubt(key, between)
        scale = system / 12.0 if _kinds(cls)[key] is VOLTAGE else 1.0
        if scale != 1.0:
            taken = f"{VOLTAGE.parse(taken) * scale:g} V"
        low, middle, high = limits.low * scale, cls._parse(key, taken), limits.high * scale
        return Doubt(UNKNOWN, taken, low, middle, high)

    @classmethod
    def _parse(cls, key: str, text: str) -> float:
        kind = _kinds(cls)[key]
        assert kind is not None
        return kind.parse(text)

    @classmethod
    def read_doubt(cls, key: str, text: str) -> Doubt:
        """Read a doubt about one of its keys."""
        return read_doubt(text, lambda exact: cls._parse(key, exact))

    @property
    def doubts(self) -> Mapping[str, Doubt]:
        """What is not known exactly: key to how well it is known."""
        return MappingProxyType(self._doubts)


@cache
def _kinds(model: type[InDoubt]) -> Mapping[str, Kind | None]:
    """Keys of a part that may be in doubt, as written, and their kinds; None for a wire's size."""
    found: dict[str, Kind | None] = {}
    for name, key in model.model_fields.items():
        written = [
            *key.metadata,
            *(m for arg in get_args(key.annotation) for m in get_args(arg)),
        ]
        kinds = [kind for kind in written if isinstance(kind, Kind)]
        if kinds:
            found[key.alias or name] = kinds[0]
    return {**found, **dict.fromkeys(model.also_in_doubt)}
