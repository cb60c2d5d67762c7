"""Tables for the office: the same figures as the plan, safe to open, the same bytes each time."""

from __future__ import annotations

import csv
import io

import pytest
from openpyxl import load_workbook

from timbrel.plan import Plan
from timbrel.sheets.blocks import table as block_table
from timbrel.sheets.rows import all_tables
from timbrel.sheets.table import Table
from timbrel.sheets.workbook import to_csv, to_xlsx
from timbrel.words import Voice, say


@pytest.fixture(scope="module")
def tables(plan: Plan, voice: Voice) -> tuple[Table, ...]:
    return all_tables(plan, voice)


def test_workbook_holds_every_tile_and_every_figure(
    plan: Plan, voice: Voice, tables: tuple[Table, ...]
) -> None:
    book = load_workbook(io.BytesIO(to_xlsx(tables, voice)), read_only=True)
    assert book.sheetnames == [table.name for table in tables]
    rows = list(book["tiles"].iter_rows(values_only=True))
    assert len(rows) - 1 == sum(layer.count for layer in plan.bond.layers)
    area = sum(row[6] for row in rows[1:])
    assert area == pytest.approx(sum(float(la.area.sum()) for la in plan.bond.layers), abs=0.02)
    order = list(book["order"].iter_rows(values_only=True))
    assert sum(row[8] for row in order[1:]) == pytest.approx(plan.takeoff.mass, abs=0.5)


def test_equal_tables_give_equal_bytes(voice: Voice, tables: tuple[Table, ...]) -> None:
    assert to_xlsx(tables, voice) == to_xlsx(tables, voice)
    assert to_csv(tables[0], voice) == to_csv(tables[0], voice)


def test_csv_is_read_back_as_it_was_written(voice: Voice, tables: tuple[Table, ...]) -> None:
    for table in tables:
        text = to_csv(table, voice).decode("utf-8-sig")
        rows = list(csv.reader(io.StringIO(text, newline="")))
        assert len(rows) == len(table.rows) + 1
        assert all(len(row) == len(table.head) for row in rows)


@pytest.mark.parametrize("text", ["=1+1", "+SUM(A1)", "-2", "@x"])
def test_a_name_that_looks_like_a_formula_stays_a_name(voice: Voice, text: str) -> None:
    table = Table("trial", say("Trial"), (say("Name"),), ((text,),))
    assert to_csv(table, voice).decode("utf-8-sig").splitlines()[1].strip('"') == "'" + text
    book = load_workbook(io.BytesIO(to_xlsx((table,), voice)))
    cell = book["trial"]["A2"]
    assert cell.data_type == "s" and cell.value == "'" + text


def test_a_ragged_table_is_a_mistake_of_ours(voice: Voice) -> None:
    with pytest.raises(ValueError, match="as many cells"):
        block_table(voice, ["a", "b"], [("1",)], align="ll")
