"""The pages of what is decided before the first tile: subjects, measured tiles, choosing."""

from __future__ import annotations

import html
import re
import time
import tomllib
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

import pytest
import tomlkit
from fastapi.testclient import TestClient
from httpx import Response

from timbrel.job.load import read_job
from timbrel.options import candidates, compare
from timbrel.plan import make_plan
from timbrel.sheets.before_book import before_leaves
from timbrel.web.choosing import with_choice, with_option
from timbrel.web.delivered import TypedDelivery, TypedLine, deliveries_of, put_delivery
from timbrel.web.edits import add_row
from timbrel.web.form import every, form_of
from timbrel.web.guard import Door
from timbrel.web.jobs import JobStore
from timbrel.web.revisions import last_revision
from timbrel.web.server import create_app
from timbrel.words import TimbrelError, Voice

SMALL = (Path(__file__).parent / "small.toml").read_text(encoding="utf-8")
BLANK = (Path(__file__).parents[2] / "src/timbrel/web/blank.toml").read_text(encoding="utf-8")
EXAMPLES = Path(__file__).parents[2] / "examples"


@pytest.fixture
def store(tmp_path: Path) -> JobStore:
    store = JobStore(tmp_path)
    store.new("Pantry", SMALL)
    return store


@pytest.fixture
def page(store: JobStore) -> Iterator[TestClient]:
    app = create_app(store.root, Door(frozenset({"testserver"})))
    yield TestClient(app, follow_redirects=False)


def sheet(lines: int, width: float = 143.0, **more: str) -> dict[str, str]:
    cells: dict[str, str] = {}
    for n in range(1, lines + 1):
        cells |= {f"t.{n}.length": "280", f"t.{n}.width": f"{width}", f"t.{n}.thickness": "15",
                  f"t.{n}.bow": ""}  # fmt: skip
    return {"tile": "thin", "use": "yes", **cells, **more}


def test_every_subject_is_on_the_page(page: TestClient) -> None:
    answer = page.get("/jobs/pantry/before")
    assert answer.status_code == 200
    plan = make_plan(read_job(SMALL))
    for leaf in before_leaves(plan, Voice(), {}):
        assert f'id="leaf-{leaf.name}"' in answer.text
        assert f'href="#leaf-{leaf.name}"' in answer.text
    assert answer.text.count("data:image/svg+xml;base64,") >= 4


@pytest.mark.parametrize("example", ["market-groin", "well-dome"])
def test_vaults_on_a_plan_have_the_page_too(
    page: TestClient, store: JobStore, example: str
) -> None:
    store.new(example, (EXAMPLES / example / "job.toml").read_text(encoding="utf-8"))
    answer = page.get(f"/jobs/{store.listed()[0].name}/before")
    assert answer.status_code == 200 and "Do they agree?" in answer.text


def test_measured_tiles_are_saved_and_planned_with(page: TestClient, store: JobStore) -> None:
    held = store.read("pantry")
    answer = page.post("/jobs/pantry/delivered", data=sheet(20, revision=held.revision))
    assert answer.status_code == 303
    text = store.read("pantry").text
    assert "# under the lintel" in text, "comments stay"
    (delivery,) = tomllib.loads(text)["deliveries"]
    assert delivery["tile"] == "thin" and len(delivery["measured"]) == 20
    shown = page.get("/jobs/pantry/before").text
    assert "20 measured" in shown and 'value="143"' in shown
    assert make_plan(read_job(text)).job.tiles["thin"].width == pytest.approx(0.143)
    assert page.post(
        "/jobs/pantry/undo", data={"revision": store.read("pantry").revision}
    ).status_code in (200, 303)
    assert "deliveries" not in store.read("pantry").text


def test_a_sheet_can_be_filled_bit_by_bit(page: TestClient, store: JobStore) -> None:
    """Under ten tiles nothing is said, and nothing rests on them."""
    held = store.read("pantry")
    page.post("/jobs/pantry/delivered", data=sheet(3, revision=held.revision))
    plan = make_plan(read_job(store.read("pantry").text))
    assert plan.job.tiles["thin"].width == pytest.approx(0.140)
    (check,) = [c for c in plan.checks if c.name == "site.delivery.thin.count"]
    assert check.verdict == "not judged" and "3 measured" in str(check.reason)
    held = store.read("pantry")
    page.post("/jobs/pantry/delivered", data=sheet(0, revision=held.revision))
    assert "deliveries" not in store.read("pantry").text, "an empty sheet takes it out"


@pytest.mark.parametrize(
    ("spoiled", "says"),
    [
        ({"t.2.width": ""}, "has no width"),
        ({"t.2.width": "wide"}, "wide"),
        ({"t.2.width": "14.3"}, "Measured tile 2"),
        ({"tile": "slate"}, "slate"),
    ],
)
def test_what_cannot_stand_is_shown_again_with_its_reason(
    page: TestClient, store: JobStore, spoiled: dict[str, str], says: str
) -> None:
    held = store.read("pantry")
    answer = page.post("/jobs/pantry/delivered", data=sheet(12, revision=held.revision) | spoiled)
    assert answer.status_code == 422
    told = re.search(r'id="refusal">(.*?)</p>', answer.text, re.S)
    assert told is not None and says in html.unescape(told[1])
    if "tile" not in spoiled:
        assert 'name="t.12.width" value="143.0"' in answer.text, "what was typed is kept"
    assert store.read("pantry").text == held.text


def test_a_late_sheet_is_not_lost(page: TestClient, store: JobStore) -> None:
    answer = page.post("/jobs/pantry/delivered", data=sheet(12, revision="old"))
    assert answer.status_code == 409 and 'value="143.0"' in answer.text


def test_measured_tiles_in_feet_come_back_as_typed() -> None:
    line = TypedLine(1, ("11 in", "5 1/2 in", "9/16 in", ""))
    text = put_delivery(SMALL, TypedDelivery("thin", (line,), True), "ft")
    read_job(text)
    (back,) = deliveries_of(text, ("thin",), "ft")
    assert back.lines[0].cells[:3] == ("11 in", "5 1/2 in", "9/16 in")


def filled(text: str) -> str:
    """The job with a solid fill."""
    document: Any = tomlkit.parse(text)
    loads = document.setdefault("loads", tomlkit.table())
    loads.setdefault("fill", tomlkit.table())["kind"] = "solid"
    return tomlkit.dumps(document)


def test_lifts_wait_for_a_kind_of_fill_and_say_so() -> None:
    with pytest.raises(TimbrelError, match=r"loads\.fill\.kind is none") as error:
        read_job(add_row(BLANK, "loads.fill.lifts", "", "mm"))
    assert error.value.key == "loads.fill.lifts"


def test_every_list_of_tables_can_be_begun_from_nothing() -> None:
    """Of a blank job: one row in each list leaves a job that still reads."""
    for text in (BLANK, SMALL):
        begun = []
        groups = every(form_of(text))
        # A list inside a table that is left out waits for the boxes that must stand there first.
        out = tuple(f"{group.key}." for group in groups if group.rows == "maybe")
        for group in groups:
            if group.rows == "list" and not group.groups and not group.key.startswith(out):
                # Lifts wait for a kind of fill.
                given = filled(text) if group.key == "loads.fill.lifts" else text
                try:
                    read_job(add_row(given, group.key, "", "mm"))
                except TimbrelError as error:
                    pytest.fail(f"{group.key}: {error}")
                begun.append(group.key)
        assert "deliveries" in begun and "room.further" in begun


# Choosing


def wait_for(page: TestClient, address: str) -> Response:
    until = time.monotonic() + 120
    while True:
        answer: Response = page.get(address)
        if "progress" not in answer.text or time.monotonic() > until:
            return answer
        time.sleep(0.2)


@pytest.mark.slow
def test_an_option_becomes_the_job_and_undo_brings_the_old_one_back(
    page: TestClient, store: JobStore
) -> None:
    before = store.read("pantry")
    begun = page.post("/jobs/pantry/options", data={"vary": "rise", "care": "price"})
    assert begun.status_code == 303
    address = begun.headers["location"]
    work = re.search(r"work=([\w-]+)", address)
    assert work is not None
    shown = wait_for(page, address)
    keys = re.findall(r'name="key" value="([\w-]+)"', shown.text)
    assert "stated" in keys, "what stands can be kept, and the comparison with it"
    keys.remove("stated")
    taken = page.post(
        f"/jobs/pantry/options/{work[1]}/take",
        data={"key": keys[0], "care": "price", "revision": before.revision},
    )
    assert taken.status_code == 303
    now = store.read("pantry")
    chosen = next(c for c in candidates(read_job(SMALL).job, "rise") if c.key == keys[0])
    assert read_job(now.text).job.curve == chosen.job.curve
    assert "# under the lintel" in now.text
    choice = read_job(now.text).job.choice
    assert choice is not None and choice.care == "price"
    assert [o.title for o in choice.options if o.taken] == [str(chosen.title)]
    leaf = re.search(r'id="leaf-choice".*?</article>', page.get("/jobs/pantry/before").text, re.S)
    assert leaf is not None and all(o.title in html.unescape(leaf[0]) for o in choice.options)
    assert "chosen" in str(store.history("pantry").states[-1].what)
    again = page.post(
        f"/jobs/pantry/options/{work[1]}/take",
        data={"key": keys[0], "revision": now.revision},
    )
    assert again.status_code == 409, "the options were of another state of the job"
    assert "changed since" in page.get(address).text
    page.post("/jobs/pantry/undo", data={"revision": now.revision})
    assert store.read("pantry").text == before.text


@pytest.mark.slow
def test_a_sweep_can_be_stopped(page: TestClient) -> None:
    begun = page.post("/jobs/pantry/options", data={"vary": "all"})
    address = begun.headers["location"]
    work = re.search(r"work=([\w-]+)", address)
    assert work is not None
    assert page.post(f"/jobs/pantry/options/{work[1]}/stop").status_code == 303
    assert "Stopped" in wait_for(page, address).text


def test_what_is_no_option_is_refused(page: TestClient, store: JobStore) -> None:
    held = store.read("pantry")
    answer = page.post(
        "/jobs/pantry/options/nothing/take", data={"key": "x", "revision": held.revision}
    )
    assert answer.status_code == 422
    assert page.get("/jobs/pantry/options?vary=colour").status_code == 422


@pytest.mark.parametrize("vary", ["rise", "family", "layers"])
@pytest.mark.parametrize(
    "example", ["granary", "chapel-cloister", "market-groin", "well-dome", "ferry-house/cellar"]
)
def test_the_text_of_an_option_reads_as_its_job(example: str, vary: str) -> None:
    """What a click writes is what was planned: curve and layers, nothing else."""
    text = (EXAMPLES / example / "job.toml").read_text(encoding="utf-8")
    stated = read_job(text).job
    for one in candidates(stated, vary):  # type: ignore[arg-type]
        job = read_job(with_option(text, one)).job
        assert job.curve.model_dump() == pytest.approx(one.job.curve.model_dump())
        assert [x.model_dump() for x in job.layers] == [x.model_dump() for x in one.job.layers]
        rest = {"curve", "layers", "loads"}
        assert job.model_dump(exclude=rest) == stated.model_dump(exclude=rest)
        assert job.loads.model_dump() == one.job.loads.model_dump()


def test_the_last_revision_is_the_newest_state_under_another_letter(store: JobStore) -> None:
    from timbrel.web.history import put

    held = store.read("pantry")
    assert last_revision(store.history("pantry")) is None
    for key, old, new in (("rise", "rise = 480", "rise = 490"),
                          ("letter", 'title = "Pantry"', 'title = "Pantry"\nrevision = "B"'),
                          ("rise", "rise = 490", "rise = 500")):  # fmt: skip
        held = store.save("pantry", held.text.replace(old, new), held.revision, put(key, new))
    earlier = last_revision(store.history("pantry"))
    assert earlier is not None and earlier.job.revision == "A"
    assert earlier.curve.rise == pytest.approx(0.490)


def test_what_was_compared_is_written_into_the_job_and_read_back() -> None:
    """Every figure of the comparison to the digits that the text keeps; the reason stays."""
    text = (EXAMPLES / "granary" / "job.toml").read_text(encoding="utf-8")
    job = read_job(text).job
    options = compare(job, "price", workers=1, vary="layers")
    other = next(o.candidate for o in options if o.candidate.key != "stated")
    reasoned = text + '\n[choice]\nwhy = "It is light."\n'
    taken = with_option(reasoned, other)
    found = read_job(
        with_choice(taken, options, other.key, "price", date(2026, 11, 25), job)
    ).job  # fmt: skip
    assert len(found.layers) == len(other.layers)
    choice = found.choice
    assert choice is not None and choice.why == "It is light." and choice.care == "price"
    assert choice.day == date(2026, 11, 25) and choice.currency == job.prices.currency
    assert [o.taken for o in choice.options] == [o.candidate.key == other.key for o in options]
    for stands, option in zip(choice.options, options, strict=True):
        figures = option.figures
        assert figures is not None
        assert stands.verdict == str(figures.verdict)
        assert stands.wall_greatest == pytest.approx(figures.push.wall_greatest, abs=0.6)
        assert stands.headroom == pytest.approx(figures.headroom, abs=6e-5)
        assert (stands.tiles, stands.cuts) == (figures.tiles, figures.cuts)
        assert stands.price == pytest.approx(figures.price, abs=0.006)
    again = with_choice(taken, options[:1], "stated", "days", date(2026, 11, 26), job)
    assert read_job(again).job.choice is not None and again.count("\n[choice]") == 1
    assert len(read_job(again).job.choice.options) == 1  # type: ignore[union-attr]
