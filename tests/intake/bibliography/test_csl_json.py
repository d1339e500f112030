"""CSL-JSON files."""

from __future__ import annotations

import json

import pytest

from kg.intake.bibliography.csl_json import read_csl_json
from kg.intake.bibliography.record import BadBibliography, Fault, Outcome, Record

ITEM = {
    "id": "tarn",
    "type": "chapter",
    "title": "On shoulder Heads",
    "container-title": "Essays on Heads",
    "volume": 2,
    "author": [
        {"family": "Tarn", "given": "Ottmar", "non-dropping-particle": "van"},
        {"literal": "Ottery & Sons"},
        {"literal": "others"},
    ],
    "issued": {"date-parts": [["1932", 5]]},
    "abstract": "Short.",
    "custom": {"shelf": 3},
}


def read(text: str) -> tuple[list[Record], list[Fault]]:
    faults: list[Fault] = []
    return read_csl_json(text, faults), faults


def test_an_item_is_taken_as_it_is() -> None:
    (record,), faults = read(json.dumps([ITEM], indent=1))
    assert faults == []
    assert (record.key, record.line, record.type) == ("tarn", 2, "chapter")
    assert record.text("title") == "On shoulder Heads"
    assert record.text("volume") == "2"
    assert record.dates["issued"].text == "1932-05"
    assert [name.whole for name in record.people["author"].names] == ["Ottmar van Tarn", "Ottery & Sons"]
    assert record.people["author"].is_cut
    assert [told.field for told in record.report if told.outcome is Outcome.NOT_UNDERSTOOD] == ["custom"]
    assert json.loads(record.raw) == ITEM


def test_tags_go_and_the_words_stay_in_the_case_that_is_typed() -> None:
    (record,), _ = read(
        json.dumps([{"id": "k", "title": 'On <i>Bébé</i> <span class="nocase">DEP</span> & 5 < 6'}])
    )
    assert record.text("title") == "On Bébé DEP & 5 < 6"


@pytest.mark.parametrize(
    ("date", "printed"),
    [
        ({"date-parts": [[1903], [1905]]}, "1903/1905"),
        ({"date-parts": [[1892]], "circa": True}, "1892~"),
        ({"date-parts": [[1916]], "season": 2}, "1916-22"),
        ({"literal": "c. 1892"}, "c. 1892"),
        ({"raw": "1878/1884"}, "1878/1884"),
        ("1892~", "1892~"),
        ({"date-parts": [[-43]]}, "-0043"),
    ],
)
def test_a_date_is_read_in_each_of_its_forms(date: object, printed: str) -> None:
    (record,), faults = read(json.dumps([{"id": "k", "type": "book", "issued": date}]))
    assert (record.dates["issued"].text, faults) == (printed, [])


@pytest.mark.parametrize(
    ("item", "found"),
    [
        ('{"id": "k", "title": "A", "title": "B"}', "title twice"),
        ('{"id": "k", "author": [{"family": "A", "family": "B"}]}', "family twice"),
        ('{"id": "k", "title": ["A"]}', 'title ["A"]'),
        ('{"id": "k", "type": 3}', "type 3"),
        ('{"id": [], "type": "book"}', "id []"),
        ('{"id": "k", "author": "Tarn"}', 'author "Tarn"'),
        ('{"id": "k", "author": [{"family": 3}]}', 'author {"family": 3}'),
        ('{"id": "k", "issued": 1932}', "issued 1932"),
        ('{"id": "k", "issued": {"date-parts": [[1932, 13]]}}', 'issued {"date-parts": [[1932, 13]]}'),
        ('"Tarn"', '"Tarn"'),
    ],
)
def test_an_item_of_the_wrong_shape_is_told_with_its_line_and_the_rest_is_read(item: str, found: str) -> None:
    records, faults = read('[{"id": "first"},\n' + item + "]")
    assert [record.key for record in records] == ["first"]
    assert [(fault.line, fault.found) for fault in faults] == [(2, found)]


@pytest.mark.parametrize(
    ("text", "line", "wanted"),
    [
        ('[{"id": "k"}\n{"id": "m"}]', 2, "a comma"),
        ('[{"id": "k",\n}]', 2, "JSON"),
        ('[{"id": "k"}', 1, "a comma or the closing ]"),
        ("[NaN]", 1, "JSON (NaN is no number)"),
        ("[" * 100_000, 1, "not nested so deeply"),
        ('[{"id": "k"}] more', 1, "nothing after"),
    ],
)
def test_what_is_no_json_is_refused_with_its_line(text: str, line: int, wanted: str) -> None:
    with pytest.raises(BadBibliography) as refused:
        read(text)
    assert f"line {line}: " in str(refused.value)
    assert wanted in str(refused.value)
