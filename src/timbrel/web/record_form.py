"""What the phone asks for each kind of entry: few boxes, in the unit of the scaffold.

Lengths are asked in millimetres and entered in metres; moments are taken from the phone's clock.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal

from timbrel.records.words import KIND_NAMES
from timbrel.words import Message, say

if TYPE_CHECKING:
    from timbrel.bond.layout import Bond

BoxKind = Literal["number", "text", "choice", "now", "photo"]


@dataclass(frozen=True)
class Box:
    """One box. key: in the entry's body. scale: what is typed times this is entered; None for text.

    choices: values and what they are called. start: what stands in it at first.
    """

    key: str
    label: Message
    kind: BoxKind = "number"
    unit: str = ""
    scale: float | None = 1.0
    whole: bool = False
    needed: bool = True
    start: str = ""
    choices: tuple[tuple[str, Message], ...] = ()


@dataclass(frozen=True)
class EntryForm:
    """The boxes of one kind of entry; fixed: parts of the body that are not asked."""

    kind: str
    title: Message
    boxes: tuple[Box, ...]
    fixed: dict[str, str] = field(default_factory=dict)


def _mm(key: str, label: Message, *, needed: bool = True) -> Box:
    return Box(key, label, unit="mm", scale=1e-3, needed=needed)


def _text(key: str, label: Message, *, needed: bool = False) -> Box:
    return Box(key, label, "text", scale=None, needed=needed)


def _count(key: str, label: Message, start: str = "") -> Box:
    return Box(key, label, whole=True, start=start)


LAYER = _count("layer", say("Layer"), "1")
SHARE = Box("v", say("Where along the axis (0 near end, 100 far end)"), unit="%", scale=0.01)
Choices = tuple[tuple[str, Message], ...]


def rods_of(bond: Bond) -> Choices:
    """The gauge rods of a bond to choose among, each once."""
    found: dict[str, Message] = {}
    for layer in bond.layers:
        for rod in layer.gauge.rods:
            found.setdefault(rod.key, rod.title)
    return tuple(found.items())


def entry_forms(
    tiles: tuple[str, ...], binders: tuple[str, ...], rods: Choices = ()
) -> tuple[EntryForm, ...]:
    """All forms, with the tiles, binders and rods of the job to choose from."""
    tile = tuple((name, say("{name}", name=name)) for name in tiles)
    binder = tuple((name, say("{name}", name=name)) for name in binders)

    def form(kind: str, *boxes: Box, **fixed: str) -> EntryForm:
        return EntryForm(kind, KIND_NAMES[kind], boxes, fixed)

    return (
        form(
            "batch",
            Box("binder", say("Binder"), "choice", scale=None, choices=binder),
            LAYER,
            Box("litres", say("Mixed"), unit="l"),
            Box("mixed", say("Mixed at"), "now", scale=None),
            Box("thrown_away_litres", say("Thrown away"), unit="l", start="0"),
            Box("temperature_c", say("Temperature"), unit="°C", needed=False),
        ),
        form(
            "course",
            LAYER,
            Box(
                "what",
                say("What was closed"),
                "choice",
                scale=None,
                choices=(("arch", say("arch")), ("course", say("course"))),
            ),
            _count("number", say("Its number")),
            _count("tiles", say("Tiles in it")),
        ),
        form(
            "soaked",
            Box("tile", say("Tile"), "choice", scale=None, choices=tile),
            _count("tiles", say("Tiles")),
            Box("minutes", say("Soaked for"), unit="min", start="15"),
        ),
        form(
            "centring",
            _count("move", say("Move number")),
            _mm("drop", say("Lowered by")),
            _text("text", say("Words")),
        ),
        form(
            "point",
            Box(
                "what",
                say("What was measured"),
                "choice",
                scale=None,
                choices=(
                    ("offset", say("offset from the springing chord")),
                    ("level", say("level above the datum")),
                    ("span", say("span between springings")),
                ),
            ),
            SHARE,
            _mm("x", say("Along the chord from the left springing or wall (0 for a span)")),
            _mm("value", say("Reading")),
        ),
        form(
            "rod",
            LAYER,
            Box("rod", say("Which rod"), "choice", scale=None, choices=rods),
            _count("done", say("Laid from its start")),
            _mm("value", say("Free edge of the last one, from the rod's start")),
        ),
        form(
            "photo",
            Box("photo", say("Photograph"), "photo", scale=None),
            _text("text", say("Words")),
        ),
        form("note", _text("text", say("Words"), needed=True)),
        form(
            "day",
            Box("temperature_c", say("Temperature"), unit="°C"),
            _text("text", say("Weather, who is here")),
        ),
        form(
            "delivery",
            _text("what", say("What came (a tile or binder by its name)"), needed=True),
            Box("quantity", say("How many")),
            _text("unit", say("Of what: tiles, bags, kg"), needed=True),
            _text("number", say("Number on the bags or pallets")),
        ),
        form(
            "load_reading",
            _count("step", say("Step")),
            Box("load", say("Load on the vault now"), unit="kN", scale=1e3),
            _text("gauge", say("Gauge"), needed=True),
            _mm("reading", say("Reading")),
        ),
        form(
            "practice",
            _text("name", say("Who laid it"), needed=True),
            _count("arch", say("Arch of the practice sheet"), "1"),
            _count("tiles", say("Tiles in it")),
            Box("minutes", say("From the first tile to the key"), unit="min"),
        ),
        form(
            "gate",
            _text("name", say("Who showed it"), needed=True),
            _count("gate", say("Gate of the practice sheet")),
            Box(
                "result",
                say("Result"),
                "choice",
                scale=None,
                choices=(("passed", say("passed")), ("again", say("to be shown again"))),
            ),
            _text("text", say("Words")),
        ),
        form(
            "signature",
            _text("what", say("Hold point or file"), needed=True),
            Box(
                "result",
                say("Result"),
                "choice",
                scale=None,
                choices=(
                    ("released", say("released")),
                    ("stopped", say("stopped")),
                    ("accepted", say("accepted")),
                ),
            ),
            _text("name", say("Your name"), needed=True),
            _text("text", say("Words")),
        ),
    )
