"""Bad input: one clear sentence with the key, what was given and what is accepted."""

from __future__ import annotations

from pathlib import Path

import pytest

from timbrel.job import load_job, read_job
from timbrel.job.load import LARGEST
from timbrel.job.new import example_text
from timbrel.words import THIN_SPACE, TimbrelError

BASE = example_text()


def refused(*changes: tuple[str, str], text: str = BASE) -> TimbrelError:
    """The refusal of the example after changes, each of which must find its place."""
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new, 1)
    with pytest.raises(TimbrelError) as raised:
        read_job(text)
    return raised.value


def without_layers() -> str:
    """The example with its layers taken out."""
    parts = BASE.split("\n[[layers]]")
    return parts[0] + "\n" + parts[-1][parts[-1].index("[masonry]") :]


@pytest.mark.parametrize(
    ("old", "new", "key", "given", "accepted"),
    [
        # missing and unknown keys
        ("AB = 4320\n", "", "room.AB", "is missing", "more than 300 mm and less than 30000 mm"),
        ("AB = 4320", "AC2 = 4320", "room.AC2", "no key of a job", "room.AC was meant"),
        ("AB = 4320", "BA = 4320", "room.BA", "no key of a job", "room.AB was meant"),
        ("rise = 540", "rize = 540", "curve.rize", "no key of a job", "curve.rise was meant"),
        ("rise = 540", "crown_cover = 4", "curve.crown_cover", "no key", "levels.crown_cover"),
        ("[masonry]", "[mortar_joints]", "mortar_joints", "no key", "accepted: format, job, room"),
        ("format = 1", "", "format", "is missing", "accepted: 1 only"),
        ("format = 1", "format = 2", "format", "is 2", "accepted: 1 only"),
        # wrong units
        ("AB = 4320", "AB = 4.32", "room.AB", "is 4.32 mm", '"4.32 m" or "4.32 ft" was meant'),
        ("length = 235", "length = 23.5", "length", "is 23.5 mm", '"23.5 cm"'),
        ("AB = 4320", 'AB = "4.32 kg"', "room.AB", '"4.32 kg": kg measures', "300 mm"),
        ("AB = 4320", 'AB = "4,320 m"', "room.AB", "two ways", "4.320 or 4320"),
        ("AB = 4320", 'AB = "4320"', "room.AB", "no unit", "300 mm"),
        ("imposed = 1.5", "imposed = 150", "loads.imposed", "150 kN/m2", '"150 kgf/m2"'),
        ("density = 1800", "density = 1.8", "density", "1.8 kg/m3", '"1.8 t/m3"'),
        ("temperature_c = 18", "temperature_c = 82", "site.temperature_c", "82 °C", '"82 °F"'),
        ("crushing = 4.0", "crushing = 4000", "masonry.crushing", "4000 N/mm2", '"4000 kPa"'),
        ("A = 1400", "A = 1.4", "room.levels.A", "is 1.4 mm", '"1.4 m" was meant'),
        # negative or absurd sizes, and things that are no numbers
        ("AB = 4320", "AB = -4320", "room.AB", "is -4320 mm", "more than 300 mm"),
        ("AB = 4320", "AB = 4e9", "room.AB", "4000000000.0 mm", "less than 30000 mm"),
        ("AB = 4320", "AB = nan", "room.AB", "is nan", "more than 300 mm"),
        ("AB = 4320", "AB = 1e999", "room.AB", "is inf", "more than 300 mm"),
        ("AB = 4320", "AB = [1, 2]", "room.AB", "is [1, 2]", "more than 300 mm"),
        ("price_bag = 14.50", "price_bag = -1", "price_bag", "is -1", "0 to 1000000000"),
        ("price_bag = 14.50", "price_bag = 1e300", "price_bag", "is 1e+300", "0 to 1000000000"),
        ("indoors = true", "indoors = 7", "site.indoors", "is 7", "true or false"),
        ("day = 2026-11-25", 'day = "today"', "job.day", '"today"', "2026-11-25"),
        ("masons = 1", "masons = 1.5", "crew.masons", "is 1.5", "a whole number, 1 to 20"),
        # words
        ('"segment"', '"segmant"', "curve.directrix", '"segmant"', '"segment" was meant'),
        ('"segment"', '"ogee"', "curve.directrix", '"ogee"', "segment, semicircle, catenary"),
        # springing levels that cannot be
        ("D = 1398", "D = 1893", "room.levels.D", "is 1893 mm", "250 mm at most"),
        ("floor_below = 0", "floor_below = 1500", "levels.floor_below", "1 500 mm", "1 398 mm"),
        ("top = 2200", "top = 1000", "levels.top", "1 000 mm", "1 404 mm"),
        # headroom and top that leave no vault between them
        (
            "headroom_crown = 1850",
            "headroom_crown = 2200",
            "levels.headroom_crown",
            "levels.top is 2 200 mm",
            "a higher top",
        ),
        # joint range that cannot close
        ("least = 6, best", "least = 12, best", "layers.1.joint", "12 mm over best", "rising"),
        # tiles
        ("width = 105", "width = 253", "tiles.half-brick.width", "253 mm", "235 mm"),
        # names
        ('tile = "thin"', 'tile = "thn"', "layers.2.tile", '"thn"', '"thin" was meant'),
        ('tile = "thin"', 'tile = "blue"', "layers.2.tile", '"blue"', "half-brick, thin"),
        ('binder = "mortar"', 'binder = "glue"', "layers.2.binder", '"glue"', "quick, mortar"),
        (
            "[loads.fill]",
            '[loads.fill]\nsleeper_tile = "x"',
            "sleeper_tile",
            '"x"',
            "half-brick, thin",
        ),
        # binders
        ("minutes = [4, 2, 1]", "minutes = [4, 2]", "binders.quick.set", "3 degrees_c", "as many"),
        ("[10, 20, 30]", "[10, 30, 20]", "binders.quick.set.degrees_c", "[10, 30", "rise"),
        ("[4, 2, 1]", "[1, 2, 4]", "binders.quick.set.minutes", "[1", "fall or stay"),
        ("[4, 2, 1]", "[4, 2, 0]", "binders.quick.set.minutes", "0", "over zero"),
        ("cement_parts = 1 ", "cement_parts = 0 ", "cement_parts", "both 0", "some of either"),
        ("[binders.quick.set_retarded]", "[binders.quick.set_late]", "set_late", "no key", "set_"),
        # room
        ("warn = 10 ", "warn = 40 ", "room.warn", "40 mm", "25 mm"),
        ('start = "AB 1000"', 'start = "AX 1"', "room.further.1.start", '"AX 1"', '"AB 2000"'),
        ('end = "CD 500"', 'end = "CD 5000"', "room.further.1.end", '"CD 5000"', "4 262 mm"),
        ("step = 1000", "step = 1500", "room.wall_offsets.1", "9 000 mm", "6 606 mm"),
        ('"segment"', '"segment"\nhaunch_radius = 300', "curve.haunch_radius", "300 mm", "three"),
        ("load_offset = 0", "load_offset = 600", "walls.left.load_offset", "600 mm", "550 mm"),
    ],
)
def test_each_fault_names_key_given_and_accepted(
    old: str, new: str, key: str, given: str, accepted: str
) -> None:
    error = refused((old, new))
    assert key in error.key
    assert error.key in str(error) or key in str(error)
    told = str(error).replace(THIN_SPACE, " ")
    assert given in told
    assert accepted in told
    assert "\n" not in told


def test_empty_layers_are_refused() -> None:
    gone = refused(text=without_layers())
    assert gone.key == "layers" and "is missing" in str(gone) and "1 to 6" in str(gone)
    none = refused(("format = 1", "format = 1\nlayers = []"), text=without_layers())
    assert none.key == "layers" and "is []" in str(none) and "1 to 6" in str(none)


def test_tiles_larger_than_the_room_are_refused() -> None:
    """A room that was stated in centimetres: 432 x 660 mm."""
    measures = {"AB": 4320, "CD": 4262, "BC": 6606, "DA": 6580, "AC": 7884, "BD": 7851}
    small = [(f"{name} = {mm}", f"{name} = {round(mm / 10)}") for name, mm in measures.items()]
    error = refused(*small)
    told = [str(error), *map(str, error.more)]
    found = next(line for line in told if line.startswith("layers.1.tile"))
    assert "235 mm long" in found and "426 mm" in found and "another unit" in found


@pytest.mark.parametrize(("indoors", "damp"), [("false", "false"), ("true", "true")])
def test_gypsum_is_for_dry_rooms(indoors: str, damp: str) -> None:
    """Common practice, no source: gypsum only indoors and dry."""
    error = refused(
        ('kind = "natural quick cement"', 'kind = "gypsum"'),
        ("indoors = true", f"indoors = {indoors}"),
        ("damp = false", f"damp = {damp}"),
    )
    assert error.key == "layers.1.binder"
    assert "gypsum" in str(error) and "natural quick cement" in str(error)


def test_a_retarder_needs_its_set_times() -> None:
    start = BASE.index("[binders.quick.set_retarded]")
    end = BASE.index("# Bond of the binder")
    error = refused(text=BASE[:start] + BASE[end:])
    assert error.key == "binders.quick.use_retarder"


def test_unknown_keys_come_first_and_the_rest_behind() -> None:
    error = refused(("AB = 4320", "BA = 4320"), ("rise = 540", "rise = -1"))
    assert error.key == "room.BA"
    assert [line for line in map(str, error.more) if line.startswith("room.AB is missing")]
    assert [line for line in map(str, error.more) if line.startswith("curve.rise is -1 mm")]


@pytest.mark.parametrize(
    ("old", "new", "where", "hint"),
    [
        ("AB = 4320", "AB = 4,320", "column 7", "not a comma"),
        ("AB = 4320", "AB = 4.32 m", "column", "straight quotes"),
        ("AB = 4320", "AB = “4.32 m”", "column", "straight quotes"),
        ("AB = 4320", "AB 4320", "column 4", "no TOML"),
        ("AB = 4320", "AB = 4320\nAB = 4321", "line", "twice"),
        ("[room]", "[room", "line", "no TOML"),
    ],
)
def test_a_text_that_is_no_toml_is_told_with_its_line(
    old: str, new: str, where: str, hint: str
) -> None:
    line = BASE[: BASE.index(old)].count("\n") + 1
    error = refused((old, new))
    shown = new.rsplit("\n", maxsplit=1)[-1]
    assert f"line {line}" in str(error) or f"line {line + 1}" in str(error)
    assert where in str(error) and hint in str(error) and shown in str(error)


@pytest.mark.parametrize("text", ["", "   \n", "\ufeff"])
def test_an_empty_text_is_told(text: str) -> None:
    with pytest.raises(TimbrelError, match="is empty"):
        read_job(text)


@pytest.mark.parametrize("text", ["a = " + "[" * 5000, "a = " + "9" * 5000])
def test_a_text_that_breaks_the_reader_is_told(text: str) -> None:
    with pytest.raises(TimbrelError, match=r"nests too deep|no TOML"):
        read_job(text)


def test_a_mark_of_byte_order_and_windows_lines_do_no_harm(tmp_path: Path) -> None:
    file = tmp_path / "job.toml"
    file.write_bytes(b"\xef\xbb\xbf" + BASE.replace("\n", "\r\n").encode())
    assert load_job(file).job == read_job(BASE).job


def test_files_that_cannot_be_read_are_told(tmp_path: Path) -> None:
    with pytest.raises(TimbrelError, match="There is no job file"):
        load_job(tmp_path / "nothing.toml")
    with pytest.raises(TimbrelError, match="There is no job file"):
        load_job(tmp_path)
    latin = tmp_path / "latin.toml"
    latin.write_bytes("format = 1\ntitle = 'Señor'".encode("latin-1"))
    with pytest.raises(TimbrelError, match="not a text in UTF-8: line 2"):
        load_job(latin)
    large = tmp_path / "large.toml"
    large.write_bytes(b"#" * (LARGEST + 1))
    with pytest.raises(TimbrelError, match="larger than"):
        load_job(large)
    (tmp_path / "odd" / "job.toml").mkdir(parents=True)
    with pytest.raises(TimbrelError, match="is a folder"):
        load_job(tmp_path / "odd")


@pytest.mark.parametrize(
    ("table", "line"),
    [
        ("[loads]\n", "horizontal = 0.1\n"),
        ("[loads]\n", "settlement = 10\n"),
        ("[loads]\n", "snow = 0.8\n"),
        ("[loads]\n", "wind_left = 0.4\n"),
        ("[loads.fill]\n", "saturated = 20\n"),
    ],
)
def test_loads_of_a_strip_are_read_for_a_vault_on_a_plan_too(table: str, line: str) -> None:
    text = (Path(__file__).parents[2] / "examples" / "chapel-cloister" / "job.toml").read_text()
    changed = text.replace(table, table + line, 1)
    before, after = (read_job(told).job.loads for told in (text, changed))
    assert before != after
