"""Dates as the house prints them say what the window says, and nothing else."""

from __future__ import annotations

import pytest

from kg.dates.window import Window, day_of
from kg.essays.dates_in_house import edtf_in_house, window_in_house


@pytest.mark.parametrize(
    ("edtf", "phrase"),
    [
        pytest.param("1872", "in 1872", id="a year"),
        pytest.param("1872-05", "in May 1872", id="a month"),
        pytest.param("1872-05-17", "on 17 May 1872", id="a day"),
        pytest.param("1878~", "about 1878", id="circa"),
        pytest.param("1878?", "perhaps in 1878", id="perhaps"),
        pytest.param("1878%", "perhaps about 1878", id="perhaps about"),
        pytest.param("187X", "in the 1870s", id="a decade"),
        pytest.param("18XX", "in the 1800s", id="a hundred years"),
        pytest.param("1874-22", "in summer 1874", id="a season"),
        pytest.param("1896/1898", "in 1896–1898", id="some years"),
        pytest.param("1867/1876~", "about 1867–1876", id="circa on one end"),
        pytest.param("[1867,1876]", "in 1867 or 1876", id="one or the other"),
        pytest.param("[..1883]", "before 1884", id="open at the beginning"),
        pytest.param("[1874..]", "in 1874 or later", id="open at the end"),
        pytest.param("[1860..1863]", "in 1860–1863", id="some time between"),
    ],
)
def test_a_date_is_printed_in_house_style(edtf: str, phrase: str) -> None:
    assert edtf_in_house(edtf).phrase == phrase


@pytest.mark.parametrize(
    ("first", "last", "phrase"),
    [
        pytest.param((1880, 6, 30), (1884, 4, 1), "between 30 June 1880 and 1 April 1884", id="two days"),
        pytest.param(
            (1880, 6, 30), (1883, 12, 31), "between 30 June 1880 and the end of 1883", id="year's end"
        ),
        pytest.param(
            (1880, 1, 1), (1884, 4, 1), "between the beginning of 1880 and 1 April 1884", id="new year"
        ),
        pytest.param(None, (1884, 4, 1), "by 1 April 1884", id="only a last day"),
        pytest.param((1874, 6, 1), None, "not before 1 June 1874", id="only a first day"),
        pytest.param(None, None, "at a time not known", id="nothing"),
    ],
)
def test_a_window_is_printed_in_house_style(
    first: tuple[int, int, int] | None, last: tuple[int, int, int] | None, phrase: str
) -> None:
    window = Window.within(day_of(*first) if first else None, day_of(*last) if last else None)
    assert window_in_house(window).phrase == phrase
