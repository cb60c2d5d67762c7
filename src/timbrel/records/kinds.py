"""The kinds of entry and what each must say.

Lengths are in metres, times in seconds or as moments with their time zone, like everywhere inside.
"""

from __future__ import annotations

from datetime import date, datetime
from typing import Annotated, Literal

from pydantic import AwareDatetime, BaseModel, ConfigDict, Field, TypeAdapter, ValidationError

from timbrel.records.roles import Role
from timbrel.words import TimbrelError, say

Text = Annotated[str, Field(max_length=2000)]
Name = Annotated[str, Field(min_length=1, max_length=120)]
Digest = Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]
SeqNo = Annotated[int, Field(ge=1, le=2**53)]


class Body(BaseModel):
    """What an entry says; frozen and strict about its keys."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)


class Person(Body):
    """Somebody on the site."""

    name: Name
    role: Role


class Token(Body):
    """A link by which a person may enter; only its digest is kept."""

    person: SeqNo
    digest: Digest
    expires: AwareDatetime


class TokenRevoked(Body):
    """The end of a link; `token` is its entry."""

    token: SeqNo


class Day(Body):
    """A day on the site."""

    day: date
    temperature_c: float = Field(ge=-30, le=55)
    text: Text = ""


class Delivery(Body):
    """What came, with the number on its bags or pallets."""

    what: Name
    number: Annotated[str, Field(max_length=80)] = ""
    quantity: float = Field(gt=0, le=1e6)
    unit: Annotated[str, Field(min_length=1, max_length=20)]


class BinderBatch(Body):
    """A batch of binder: when mixed, when it began to set, how much was thrown away."""

    binder: Name
    layer: int = Field(ge=1, le=6)
    litres: float = Field(gt=0, le=200)
    mixed: AwareDatetime
    first_set: AwareDatetime | None = None
    thrown_away_litres: float = Field(0.0, ge=0, le=200)
    temperature_c: float | None = Field(None, ge=-30, le=55)
    retarder_g: float = Field(0.0, ge=0, le=5000)


class Soaked(Body):
    """Tiles put to soak."""

    tile: Name
    tiles: int = Field(ge=1, le=5000)
    minutes: float = Field(gt=0, le=24 * 60)


class Course(Body):
    """A course or an arch that was closed."""

    layer: int = Field(ge=1, le=6)
    what: Literal["course", "arch"]
    number: int = Field(ge=1, le=5000)
    tiles: int = Field(ge=0, le=5000)


class CentringMove(Body):
    """The centring was eased and moved."""

    move: int = Field(ge=0, le=5000)
    drop: float = Field(ge=0, le=0.5)
    text: Text = ""


class MeasuredPoint(Body):
    """A measure of the work.

    `offset`: intrados above (square to) the springing chord at `x` from the left springing, at
    station `v` (0 near end, 1 far end); over a vault on a plan `x` runs from the wall over DA across
    the room, and the chord joins the springing levels there. `level`: height above the datum
    there. `span`, `diagonal`: the length between springings at `v`, or of the diagonal named in
    `text`.
    """

    what: Literal["offset", "level", "span", "diagonal"]
    v: float = Field(ge=0, le=1)
    x: float = Field(0.0, ge=-1, le=60)
    value: float = Field(ge=-30, le=120)
    course: int | None = Field(None, ge=1, le=5000)
    text: Text = ""


class RodReading(Body):
    """Where the work stands on a gauge rod.

    rod: its key in the bond (``near``, ``far``, ``row whole``, ``row half``; over a plan with the
    web before it, ``AB near``; of a dome ``meridian``, ``ring 01``). done: tiles or courses
    laid from its start. value: distance from its start to the free edge of the last one.
    """

    layer: int = Field(ge=1, le=6)
    rod: str = Field(pattern=r"^[A-Za-z0-9][A-Za-z0-9 ]{0,19}$")
    done: int = Field(ge=1, le=5000)
    value: float = Field(gt=0, le=100)


class Photo(Body):
    """A photograph; the picture itself is kept under its digest."""

    digest: Digest
    media: Literal["image/jpeg", "image/png", "image/webp"]
    size: int = Field(ge=1, le=20 * 1024 * 1024)
    text: Text = ""


class Signature(Body):
    """A hold point released, or the whole file accepted; `head` is the chain's hash when signed."""

    what: Name
    result: Literal["released", "stopped", "accepted"]
    name: Name
    head: Digest
    text: Text = ""


class LoadReading(Body):
    """A reading in a load test: the step, the load on the vault and what a gauge shows."""

    step: int = Field(ge=0, le=100)
    load: float = Field(ge=0, le=1e6)
    gauge: Name
    reading: float = Field(ge=-1, le=1)


class PracticeArch(Body):
    """An arch of the practice sheet, laid by a person who learns: how many tiles in what time."""

    name: Name
    arch: int = Field(ge=1, le=100)
    tiles: int = Field(ge=1, le=500)
    minutes: float = Field(gt=0, le=24 * 60)

    @property
    def pace(self) -> float:
        """Tiles an hour."""
        return self.tiles / self.minutes * 60


class Gate(Body):
    """A gate of the practice sheet, by its number: passed, or to be shown again."""

    name: Name
    gate: int = Field(ge=1, le=20)
    result: Literal["passed", "again"]
    text: Text = ""


class Note(Body):
    """A few words."""

    text: Annotated[str, Field(min_length=1, max_length=2000)]


class Void(Body):
    """An entry that should not have been made; the entry it corrects stays, and says so."""

    reason: Annotated[str, Field(min_length=1, max_length=500)]


KINDS: dict[str, type[Body]] = {
    "person": Person,
    "token": Token,
    "token_revoked": TokenRevoked,
    "day": Day,
    "delivery": Delivery,
    "batch": BinderBatch,
    "soaked": Soaked,
    "course": Course,
    "centring": CentringMove,
    "point": MeasuredPoint,
    "rod": RodReading,
    "photo": Photo,
    "signature": Signature,
    "load_reading": LoadReading,
    "practice": PracticeArch,
    "gate": Gate,
    "note": Note,
    "void": Void,
}
MOMENT: TypeAdapter[datetime] = TypeAdapter(AwareDatetime)


def read_body(kind: str, body: object) -> Body:
    """The body of an entry, checked. Raises TimbrelError naming the key, what was given, why."""
    model = KINDS.get(kind)
    if model is None:
        raise TimbrelError(
            say(
                "kind: {kind} was given; {kinds} are accepted.",
                kind=repr(kind)[:60],
                kinds=", ".join(KINDS),
            ),
            key="kind",
        )
    try:
        return model.model_validate(body)
    except ValidationError as error:
        first = error.errors()[0]
        key = ".".join(str(part) for part in first["loc"]) or "body"
        raise TimbrelError(
            say(
                "{key}: {given} was given; {accepted}.",
                key=key,
                given=repr(first.get("input"))[:80],
                accepted=first["msg"],
            ),
            key=key,
        ) from error
