"""Mapping files: what each fault in one is called, and how columns become names and values."""

from __future__ import annotations

import pytest

from kg.dates.errors import DateNotUnderstood
from kg.intake.faults import BadMapping, FaultyRows
from kg.intake.mapping_reader import read_mapping
from kg.intake.templates import LONGEST_SLUG, Template, slug_of
from kg.intake.values import CellReader
from kg.vocabulary import load_vocabulary
from tests.intake.conftest import Bench

FAULTS = [
    pytest.param('name = "stocklist"', "name =", "is no TOML that can be read", id="no TOML"),
    pytest.param('name = "stocklist"', 'name = "Stock list"', "name = 'Stock list' found; expected letters", id="name"),
    pytest.param("[[claim]]", "[[claims]]", "the key 'claims' is unknown. Did you mean 'claim'?", id="block misspelt"),
    pytest.param('says = "madeOn"', 'says = "madeIn"', "'madeIn' is no property of the vocabulary.", id="property"),
    pytest.param('kind = "Piece"', 'kind = "Peace"', "'Peace' is no class of the vocabulary.", id="class"),
    pytest.param('about = "piece"', 'about = "doll"', "about = 'doll' is no [[thing]] of this mapping", id="about"),
    pytest.param('thing = "maker"', 'thing = "firm"', "thing = 'firm' is no [[thing]] of this mapping", id="thing"),
    pytest.param('thing = "maker"', 'text = "{maker}"', "the value of madeBy needs thing = a [[thing]]", id="link"),
    pytest.param('column = "state"', 'thing = "maker"', "the value of condition needs column or text", id="no link"),
    pytest.param('form = "phrase"\n', "", "madeOn is a date; give column, or from and to, and form", id="no form"),
    pytest.param('form = "phrase"', 'form = "guess"', "form = one of year, phrase, edtf", id="other form"),
    pytest.param('column = "height"', 'column = "height"\nform = "year"', "heightMm is no date", id="form astray"),
    pytest.param('column = "height"', "", "give one of column, text, thing, or from and to; found none", id="no value"),
    pytest.param('column = "born"', 'column = "born"\nfrom = "born"', "found column, from/to", id="two values"),
    pytest.param('says = "bornOn"', 'says = "madeOn"', "madeOn is said of a piece or part; maker is", id="domain"),
    pytest.param('"five-years"', '"five-ish"', "no convention 'five-ish'; choose one of", id="convention"),
    pytest.param('id = "piece-{id}"', 'id = "piece"', "id = 'piece' names no column", id="one thing for all"),
    pytest.param('id = "piece-{id}"', 'id = "piece-{id"', "'piece-{id' has braces that name no column", id="brace"),
    pytest.param("unique = true", 'unique = "yes"', "unique = 'yes' found; expected true or false", id="flag"),
    pytest.param('when = "maker"', "when = 3", "when = 3 found; expected a column", id="when"),
    pytest.param('column = "height"', 'column = "height"\nunit = "ft"', "unit = 'ft' found; expected one", id="unit"),
    pytest.param('column = "state"', 'column = "state"\nunit = "cm"', "condition is none.", id="unit astray"),
    pytest.param('map = { "W" = "worn" }', 'map = ["W"]', "map = ['W'] found; expected", id="map"),
    pytest.param('name = "maker"', 'name = "piece"', "two [[thing]] are named 'piece'", id="same name"),
    pytest.param('label = "An invented stock list"', "", "[source]: label is missing", id="source label"),
    pytest.param("[source]", 'encoding = "ebcdic"\n[source]', "encoding = 'ebcdic' found", id="encoding"),
    pytest.param("[source]", 'delimiter = "||"\n[source]', "delimiter = '||' found", id="delimiter"),
    pytest.param("[source]", '[dates]\nlanguage = "nl"\n[source]', "language = 'nl' found", id="language"),
    pytest.param('column = "dated"', 'column = "dates"', "which stock.csv has not. Did you mean 'dated'", id="column"),
    pytest.param('"{title?}"', '"{tilte?}"', "which stock.csv has not. Did you mean 'title'", id="in a template"),
    pytest.param('when = "maker"', 'when = "makers"', "'makers', which stock.csv has not.", id="in a condition"),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "told"), FAULTS)
def test_a_fault_in_a_mapping_is_named_and_nothing_is_recorded(
    bench: Bench, old: str, new: str, told: str
) -> None:
    bench.remap((old, new))
    before = bench.files()
    with pytest.raises(BadMapping) as caught:
        bench.take_in()
    assert told in str(caught.value)
    assert str(caught.value).startswith("The mapping ")
    assert bench.files() == before


def test_all_faults_of_a_mapping_are_told_at_once(bench: Bench) -> None:
    bench.remap(
        ('name = "stocklist"', 'name = "Stock list"'),
        ('"five-years"', '"five-ish"'),
        ('kind = "Person"', 'kind = "Peerson"'),
        ('says = "madeOn"\ncolumn = "dated"\nform = "phrase"', 'says = "madeIn"\ncolumn = "dated"'),
        ('column = "height"', 'colum = "height"\nunit = "ft"\nstrength = "soft"'),
    )
    with pytest.raises(BadMapping) as caught:
        bench.take_in()
    first, *faults = str(caught.value).splitlines()
    assert first == f"The mapping mapping.toml has {len(faults)} faults:"
    wanted = (
        "[source]: no convention 'five-ish'",
        "[[thing]] 2: 'Peerson' is no class",
        "[[claim]] 2: 'madeIn' is no property",
        "[[claim]] 4: the key 'colum' is unknown. Did you mean 'column'?",
        "[[claim]] 4: give one of column, text, thing, or from and to; found none.",
        "[[claim]] 4: unit = 'ft' found",
        "[[claim]] 4: strength = 'soft'",
        "name = 'Stock list' found",
    )
    assert [len([f for f in faults if word.lower() in f.lower()]) for word in wanted] == [1] * len(wanted)
    assert len(faults) == len(
        wanted
    )  # none follows from another: claims about the faulty person are not told


def test_all_columns_that_a_table_lacks_are_told_at_once(bench: Bench) -> None:
    bench.remap(('column = "dated"', 'column = "dates"'), ('column = "height"', 'column = "heigth"'))
    with pytest.raises(BadMapping) as caught:
        bench.take_in()
    assert str(caught.value) == (
        "The mapping stocklist names 2 columns that stock.csv has not:\n"
        "  - 'dates'. Did you mean 'dated' or 'state'?\n"
        "  - 'heigth'. Did you mean 'height'?\n"
        "Its columns: id, title, maker, born, dated, height, state."
    )


def test_a_byte_that_is_no_utf8_is_told_with_its_line(bench: Bench) -> None:
    text = bench.mapping.read_text(encoding="utf-8").replace("An invented", "Müllers")
    bench.mapping.write_bytes(text.encode("latin-1"))
    with pytest.raises(
        BadMapping, match=r"mapping.toml: line 7 holds a byte that is no UTF-8 \(0xfc\)\. Save it as"
    ):
        bench.take_in()


def test_a_mapping_that_is_not_there_is_refused(bench: Bench) -> None:
    bench.mapping.unlink()
    with pytest.raises(BadMapping, match="There is no mapping file"):
        bench.take_in()


SLUGS = [
    ("0013480a", "0013480a"),
    ("AB_1.2", "AB_1.2"),
    ("-34", "-34"),
    ("  Maurice  Quentin ", "maurice-quentin"),
    ("Müller & Søn", "muller-son"),
    ("Straße", "strasse"),
    ("BRUMELOW", "brumelow"),
    ("Brumelow", "brumelow"),
    ("", ""),
]


@pytest.mark.parametrize(("text", "slug"), SLUGS)
def test_words_become_plain_small_letters(text: str, slug: str) -> None:
    assert slug_of(text) == slug


def test_two_names_in_another_script_stay_two() -> None:
    first, second = slug_of("人形師"), slug_of("人形店")
    assert first != second
    assert first.isascii()
    assert slug_of("Мастер A") != slug_of("Мостер A")


def test_a_long_name_is_cut_and_told_apart_from_its_like() -> None:
    template = Template.of("piece-{title}")
    first, second = (template.slug({"title": "a" * 200 + end}) for end in "bc")
    assert first != second
    assert len(first) <= LONGEST_SLUG


def reader(bench: Bench) -> CellReader:
    return CellReader(read_mapping(bench.mapping, load_vocabulary()))


@pytest.mark.parametrize(
    ("text", "edtf"),
    [("1878", "1878"), ("878", "0878"), ("-1", "0000"), ("-304", "-0303"), ("+12", "0012")],
)
def test_years_before_our_era_are_counted_as_history_does(bench: Bench, text: str, edtf: str) -> None:
    assert reader(bench).year(text) == edtf


def test_a_table_with_a_year_zero_says_so(bench: Bench) -> None:
    bench.remap(("[source]", "[dates]\nyear-zero = true\n[source]"))
    assert [reader(bench).year(text) for text in ("0", "-304")] == ["0000", "-0304"]


@pytest.mark.parametrize("text", ["0", "c. 1878", "71959", "18,78", "MDCCC", "1878.0"])
def test_what_is_no_year_is_refused(bench: Bench, text: str) -> None:
    with pytest.raises(DateNotUnderstood):
        reader(bench).year(text)


RANGES = [
    pytest.param("1870", "1880", "within", "[1870..1880]", "1870–1880", id="within"),
    pytest.param("1870", "1880", "throughout", "1870/1880", "1870–1880", id="throughout"),
    pytest.param("1870", "1870", "within", "1870", "1870", id="one year"),
    pytest.param("1870", "", "within", "[1870..]", "1870–", id="no last"),
    pytest.param("", "1880", "within", "[..1880]", "–1880", id="no first"),
    pytest.param("1870", "", "throughout", "1870/..", "1870–", id="lasting on"),
    pytest.param("-20", "-10", "within", "[-0019..-0009]", "-20 to -10", id="before our era"),
]


@pytest.mark.parametrize(("first", "last", "how", "edtf", "written"), RANGES)
def test_two_columns_become_one_date(
    bench: Bench, first: str, last: str, how: str, edtf: str, written: str
) -> None:
    bench.remap(
        ('column = "dated"\nform = "phrase"', f'from = "a"\nto = "b"\nform = "year"\nrange = "{how}"')
    )
    bench.write(f"01,Lady,,,,,,{first},{last}", headings="id,title,maker,born,dated,height,state,a,b")
    bench.take_in()
    (claim,) = bench.live("piece-01", "madeOn")
    assert (claim.value, claim.written) == (edtf, written)


def test_two_columns_out_of_order_are_left_out(bench: Bench) -> None:
    bench.remap(('column = "dated"\nform = "phrase"', 'from = "a"\nto = "b"\nform = "year"'))
    bench.write("01,Lady,,,,,,1843,1838", headings="id,title,maker,born,dated,height,state,a,b")
    plan, _ = bench.take_in()
    assert plan.left_out == 1
    assert str(plan.faults[0]).startswith(
        "row 2, a to b: '1843–1838' found; expected a first date that is not after"
    )


def test_conditions_choose_the_rows_a_claim_is_for(bench: Bench) -> None:
    bench.remap(
        ('thing = "maker"', 'thing = "maker"\nquotation = "{state} {maker}"\nunless = { state = ["After"] }')
    )
    bench.write("01,Lady,A. Brumelow,1839,,,after", "02,Boy,A. Brumelow,1839,,,by")
    bench.take_in()
    assert bench.live("piece-01", "madeBy") == []
    (claim,) = bench.live("piece-02", "madeBy")
    assert claim.citation.quotation == "by A. Brumelow"


def test_a_column_can_name_the_source(bench: Bench) -> None:
    bench.remap(
        ('id = "stocklist"\nlabel = "An invented stock list"', 'id = "book-{state}"\nlabel = "Book {state}"\n'
         'kind = "Book"\nlocator = "p. {height}"'),
    )  # fmt: skip
    bench.write("01,Lady,,,1878,12,one", "02,Boy,,,1885,7,two")
    bench.take_in()
    view = bench.daybook.view()
    assert [view.cite(bench.live(f"piece-0{n}", "madeOn")[0].citation) for n in (1, 2)] == [
        "Book one, p. 12",
        "Book two, p. 7",
    ]


def test_a_link_to_nothing_refuses_the_table(bench: Bench) -> None:
    bench.remap(('thing = "maker"', 'column = "maker"'))
    bench.write("01,Lady,nobody,1839,,,")
    with pytest.raises(
        FaultyRows,
        match="row 2, maker: 'nobody' found; expected an id in the daybook of the class 'maker, firm or person'",
    ):
        bench.take_in()
