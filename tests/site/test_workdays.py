"""Hours and days of a crew, worked by hand."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from timbrel.site.workdays import DAY, Workdays

HOUR = 3600.0
EVERY_DAY = Workdays(8 * HOUR)
FRIDAY = Workdays(8 * HOUR, 5, date(2026, 11, 27))


@pytest.mark.parametrize(
    ("start", "work", "end"),
    [
        (0.0, 4.0, 4.0),
        (0.0, 8.0, 8.0),
        (0.0, 9.0, 25.0),
        (6.0, 4.0, 26.0),
        (6.0, 18.0, 56.0),  # 2 h, 8 h, 8 h: ends with the third day
    ],
)
def test_work_goes_on_in_working_hours_only(start: float, work: float, end: float) -> None:
    assert EVERY_DAY.done(start * HOUR, work * HOUR) == pytest.approx(end * HOUR)


def test_after_a_night_work_starts_in_the_morning() -> None:
    assert EVERY_DAY.next_hour(20 * HOUR) == DAY
    assert EVERY_DAY.next_hour(5 * HOUR) == 5 * HOUR


def test_on_a_friday_of_ten_hours_two_are_left_for_monday() -> None:
    """27 November 2026 is a Friday (calendar)."""
    assert FRIDAY.done(0.0, 10 * HOUR) == pytest.approx(3 * DAY + 2 * HOUR)
    assert FRIDAY.date_of(3) == date(2026, 11, 30)


def test_a_feast_on_monday_moves_the_rest_to_tuesday() -> None:
    feast = Workdays(8 * HOUR, 5, date(2026, 11, 27), (date(2026, 11, 30),))
    assert feast.done(0.0, 10 * HOUR) == pytest.approx(4 * DAY + 2 * HOUR)


def test_without_a_date_the_first_morning_is_a_monday() -> None:
    five = Workdays(8 * HOUR, 5)
    assert [five.worked(day) for day in range(8)] == [True] * 5 + [False] * 2 + [True]
    assert five.date_of(0) is None


@given(
    st.floats(1, 14), st.integers(1, 7), st.dates(date(2026, 1, 1), date(2027, 1, 1)),
    st.lists(st.integers(0, 40), max_size=10), st.floats(0, 20), st.floats(0, 60),
)  # fmt: skip
def test_all_work_is_done_and_none_on_a_rest_day(
    hours: float, week: int, first: date, off: list[int], start: float, work: float
) -> None:
    """The hours of the worked days between start and end add up to the work, whatever the week."""
    plain = Workdays(hours * HOUR, week, first)
    feasts = tuple(d for d in (plain.date_of(day) for day in off) if d is not None)
    crew = Workdays(hours * HOUR, week, first, feasts)
    start, work = start * DAY, work * HOUR
    end = crew.done(start, work)
    done = 0.0
    for day in range(int(end // DAY) + 1):
        if crew.worked(day):
            morning, evening = day * DAY, day * DAY + crew.hours
            done += max(0.0, min(evening, end) - max(morning, start))
    assert done == pytest.approx(work, abs=1e-3)
