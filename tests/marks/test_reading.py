"""Every stretch of a mark is read in every way, and the whole gives a window with its reasons."""

import pytest

from kg.dates.window import day_of, iso
from kg.marks.reading import MarkReading, Reading, bounds_of, read_mark

SHOULDER_PLATE = "incised, back of shoulder plate: D.R.G.M. 4556[.]0 / Germany / R. & S. GmbH / 139"


def kinds(read: MarkReading) -> list[tuple[str, str]]:
    return [(reading.kind, reading.text) for reading in read.readings]


def one(text: str, kind: str, series: str | None = None) -> Reading:
    (found,) = [
        r for r in read_mark(text).readings if r.kind == kind and (series is None or r.series == series)
    ]
    return found


def test_an_invented_shoulder_plate_gives_its_window_with_five_named_reasons() -> None:
    read = read_mark(SHOULDER_PLATE)
    assert kinds(read) == [
        ("legal wording", "D.R.G.M."),
        ("utility model number", "D.R.G.M. 4556[.]0"),
        ("country of origin", "Germany"),
        ("initials", "R. & S."),
        ("company form", "GmbH"),
        ("mould number", "139"),
    ]
    whole = read.window
    assert str(whole.window) == "1911-01-01..1952-10-31/1911-01-01..1952-10-31"
    assert (whole.earliest_strength, whole.latest_strength, whole.strains) == ("usual", "usual", ())
    assert whole.hard.first == day_of(1908)
    assert whole.hard.last is None
    for named in (
        "D.R.G.M.: not before 1 October 1891 (hard)",
        "D.R.G.M.: not after 31 October 1952 (usual)",
        "D.R.G.M. 4556[.]0: not before 1911 (usual): German utility models, row 1911",
        "Germany: not before 1 March 1891 (usual)",
        "GmbH: not before 20 April 1892 (hard)",
        "139: mould number 139; it gives no date until the maker's series is known",
    ):
        assert any(reason.startswith(named) for reason in read.reasons), named


def test_a_lost_digit_gives_the_whole_range() -> None:
    found = one("D.R.P. 16[.]04", "patent number", "DRP")
    assert (found.number, found.lowest, found.highest) == ("16[.]04", 16_004, 16_904)


def test_an_uncertain_digit_gives_the_whole_range_too() -> None:
    found = one("D.R.P. 162?04", "patent number", "DRP")
    assert (found.lowest, found.highest) == (16_004, 16_904)


def test_lost_digits_of_unknown_number_leave_the_range_open() -> None:
    found = one("D.R.P. 162[---]", "patent number", "DRP")
    assert (found.lowest, found.highest) == (1_620, None)
    assert found.registered is not None
    assert found.registered.last is None


def test_what_is_lost_at_the_edge_of_a_number_need_not_be_a_digit_so_the_hard_bound_does_without_it() -> None:
    found = one("D.R.G.M. 45561[.]", "utility model number")
    assert [(iso(b.earliest), b.strength) for b in found.bounds if b.earliest] == [
        ("1893-01-01", "hard"),
        ("1895-01-01", "usual"),
        ("1908-01-01", "usual"),
        ("1911-01-01", "usual"),
    ]


def test_a_restored_digit_bounds_usually_what_the_whole_range_bounds_hard() -> None:
    found = one("D.R.P. 1[9]204", "patent number", "DRP")
    assert (found.lowest, found.highest) == (10_204, 19_204)
    assert [(b.earliest, b.strength) for b in found.bounds] == [
        (day_of(1878), "hard"),
        (day_of(1880), "usual"),
        (day_of(1880), "usual"),
        (day_of(1882), "usual"),
    ]


@pytest.mark.parametrize(
    ("text", "series", "number"),
    [
        ("U.S. Pat. No. 1,147,592", "US", "1147592"),
        ("Des. Pat. 101090", "US-D", "101090"),
        ("PAT. D101090", "US-D", "101090"),
        ("Rd. No. 150412", "GB-RD", "150412"),
        ("Regd. No 150412", "GB-RD", "150412"),
        ("RdNo150412", "GB-RD", "150412"),
        ("D.R.P. Nr. 16204", "DRP", "16204"),
        ("DRGM 17310", "DRGM", "17310"),
        ("D. R. G. M. 17310", "DRGM", "17310"),
        ("D.B.P. 900000", "DBP", "900000"),
        ("Brevet No 317502", "FR", "317502"),
        ("BREVETÉ S.G.D.G. 317502", "FR", "317502"),
    ],
)
def test_a_number_is_read_by_the_words_before_it(text: str, series: str, number: str) -> None:
    assert (series, number) in [(r.series, r.number) for r in read_mark(text).readings]


def test_several_numbers_behind_one_word_are_all_read() -> None:
    numbers = [r.number for r in read_mark("D.R.P. 16204, 17000 u. 18000").readings if r.series == "DRP"]
    assert numbers == ["16204", "17000", "18000"]


def test_a_patent_number_without_a_country_is_read_for_each_and_no_bound_of_it_is_hard() -> None:
    found = [r for r in bounds_of("Pat. No. 1,147,592") if r.kind == "patent number"]
    assert [r.series for r in found] == ["US", "GB", "DRP"]
    assert all(len(r.alternatives) == 2 for r in found)
    assert {b.strength for r in found for b in r.bounds} == {"usual"}
    assert "not before 1914 (usual: only if it is read so)" in found[0].bounds[0].sentence


def test_a_british_number_with_its_year_is_dated_by_the_year() -> None:
    (found,) = [r for r in bounds_of("British Pat. No. 1234/10") if r.series == "GB"]
    assert [(b.earliest, b.strength) for b in found.bounds] == [(day_of(1910), "hard")]


def test_groups_parted_by_a_space_may_be_two_numbers_and_the_reading_asks() -> None:
    read = read_mark("D.R.G.M. 455 610")
    assert [r.number for r in read.readings if r.series == "DRGM"] == ["455", "455610"]
    assert read.questions == ("Is this one number or two: 455 or 455610?",)
    assert read.window.hard.first == day_of(1891, 10, 1)


def test_a_number_on_the_next_line_may_be_the_mould_number() -> None:
    found = [r.kind for r in read_mark("D.R.G.M. / 139").readings if r.number == "139"]
    assert found == ["utility model number", "mould number"]


def test_a_number_that_no_word_assigns_is_read_as_all_that_it_can_be_and_bounds_nothing_for_sure() -> None:
    read = read_mark("1907")
    assert {"mould number", "year", "patent number", "utility model number"} <= {
        r.kind for r in read.readings
    }
    assert {b.strength for r in read.readings for b in r.bounds} == {"weak"}
    assert read.window.window.first is None


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("6/0", ["size number"]),
        ("8", ["mould number", "size number"]),
        ("139/4", ["mould number"]),
        ("3/6", ["mould number", "size number", "price"]),
        ("£ 5", ["price"]),
        ("$1.25", ["price"]),
        ("M 3,50", ["price"]),
        ("2½", ["size number"]),
    ],
)
def test_sizes_moulds_and_prices_are_told_apart_or_both_kept(text: str, expected: list[str]) -> None:
    assert [r.kind for r in read_mark(text).readings] == expected


@pytest.mark.parametrize(
    ("text", "kind", "day", "strength"),
    [
        pytest.param("PAT'D MAY 13, 1873", "patent date", (1873, 5, 13), "hard", id="patented on"),
        pytest.param(
            "A. B.'S PATENT / March 19, 1867", "patent date", (1867, 3, 19), "hard", id="over two lines"
        ),
        pytest.param("PAT'D MAY 13, 187[.]", "patent date", (1870, 5, 13), "hard", id="last figure lost"),
        pytest.param(
            "PAT. JUNE 12 '88", "patent date", (1888, 6, 12), "hard", id="two figures of a grant's year"
        ),
        pytest.param("4. März 1893", "date", (1893, 3, 4), "usual", id="German, no word"),
        pytest.param("12 août 1889", "date", (1889, 8, 12), "usual", id="French, no word"),
        pytest.param(
            "design diamond of 7 August 1867",
            "registration date",
            (1867, 8, 7),
            "hard",
            id="described diamond",
        ),
    ],
)
def test_a_day_bounds_by_the_word_before_it(
    text: str, kind: str, day: tuple[int, int, int], strength: str
) -> None:
    (made,) = one(text, kind).bounds
    assert (made.earliest, made.strength) == (day_of(*day), strength)


def test_a_diamond_is_read_from_its_corners() -> None:
    found = one("diamond, class IV, top T, right 7, bottom 6, left R", "registration diamond")
    assert found.sentence == (
        "registered 7 August 1867; layout of 1842 to 1867; parcel 6; "
        "class IV (earthenware, porcelain and other ceramics)"
    )
    assert [(b.earliest, b.strength) for b in found.bounds] == [(day_of(1867, 8, 7), "hard")]


def test_a_diamond_without_corners_asks_for_them() -> None:
    read = read_mark("diamond IV R 7 6 T")
    assert len([r for r in read.readings if r.kind == "registration diamond"]) == 2
    assert read.questions == (
        "At which corner stands each of R, 7, 6, T? To 1867 the year is at the top and the month at the left; "
        "from 1868 the year is at the right and the month below. R, T may be either.",
    )
    assert {b.strength for r in read.readings for b in r.bounds} == {"usual"}


def test_an_uncertain_character_without_a_corner_is_not_read_and_a_colon_may_part_the_diamond_from_them() -> (
    None
):
    assert read_mark("diamond T 7 6 R").window.hard.first == day_of(1867, 8, 6)
    for doubted in ("diamond T? 7 6 R", "diamond [T] 7 6 R"):
        assert read_mark(doubted).window.hard == read_mark("diamond [.] 7 6 R").window.hard
    told = [r.sentence for r in read_mark("diamond: T, 7, 6, R").readings]
    assert told == [r.sentence for r in read_mark("diamond T 7 6 R").readings]


def test_a_diamond_that_no_layout_allows_is_said_to_be_so_and_not_guessed_at() -> None:
    found = one("diamond, top 7, right 7, bottom 7, left 7", "registration diamond")
    assert "no layout allows" in found.sentence
    assert found.question == "Which character stands at each corner?"


def test_a_half_lost_word_is_offered_as_wording_but_stays_a_word_too() -> None:
    read = read_mark("[.]ermany")
    assert {r.kind for r in read.readings} == {"country of origin", "name"}
    assert [b.strength for r in read.readings for b in r.bounds] == ["weak"]
    assert read.window.window.first is None


def test_wording_that_could_be_initials_bounds_nothing_for_sure() -> None:
    read = read_mark("CE")
    assert {r.kind for r in read.readings} == {"legal wording", "initials"}
    assert read.window.window.first is None


def test_uncertain_letters_never_give_a_hard_bound() -> None:
    found = one("G\u0323mbH", "company form")
    assert [b.strength for b in found.bounds] == ["usual"]
    assert "(usual: not every letter is clear)" in found.bounds[0].sentence


def test_an_expanded_abbreviation_is_read_with_and_without_what_the_reader_supplied() -> None:
    assert "company form" in [r.kind for r in read_mark("G(esellschaft)m.b.H.").readings]


def test_bounds_that_cannot_both_be_usual_strain_and_say_so() -> None:
    whole = read_mark("NIPPON / JAPAN / WEST GERMANY").window
    assert whole.hard.first == day_of(1949, 5, 23)
    assert whole.window.first == day_of(1949, 5, 23)
    assert whole.strains == (
        "not before 23 May 1949 (hard), yet not after 1 September 1921 (usual): they strain",
    )


def test_a_year_behind_the_patent_office_s_name_is_no_day_of_a_grant() -> None:
    whole = read_mark("Reg. U.S. Pat. Off. 1912").window
    assert (whole.window.first, whole.window.last) == (day_of(1905, 4, 1), day_of(1975, 1, 2))


def test_a_material_named_on_the_mark_shows_its_caution() -> None:
    read = read_mark("CELLULOID")
    assert [str(c) for c in read.cautions] == [
        "Flammable, and it breaks down by itself, giving off acid gas: keep it apart, cool and ventilated, "
        "away from flame. Ask a conservator; local fire rules come first."
    ]


@pytest.mark.parametrize(
    "text", [SHOULDER_PLATE, "three poplars / SCHUTZMARKE", "V. Y. in a lozenge", "[---] / 1[.]", "☆ A & B ☆"]
)
def test_no_character_that_can_be_seen_is_left_unread(text: str) -> None:
    read = read_mark(text)
    covered = {at for token in read.tokens for at in range(token.start, token.end)}
    for at, element in enumerate(read.mark.elements):
        char = getattr(element, "char", None)
        assert char in (None, " ") or at in covered, (at, char)


def test_the_country_whose_patent_it_is_stands_between_the_word_and_the_date() -> None:
    read = read_mark("Patented in U.S.A. Dec 17th 1901")
    assert ("place", "U.S.A.") in kinds(read)
    assert {"company form", "initials"}.isdisjoint(r.kind for r in read.readings)
    assert read.window.hard.first == day_of(1901, 12, 17)


def test_an_abbreviated_west_germany_is_among_the_readings_and_bounds_nothing_for_sure() -> None:
    found = [r for r in read_mark("W. Germany").readings if r.text == "W. Germany"]
    assert [b.earliest for r in found for b in r.bounds if b.earliest] == [day_of(1949, 5, 23)]
    assert {b.strength for r in found for b in r.bounds} == {"weak"}
    assert all("memory" in b.confidence for r in found for b in r.bounds)


def test_the_american_rule_on_the_wording_does_not_bound_a_number_that_may_be_british() -> None:
    read = read_mark("Pat. No. 15,234 of 1899")
    assert {b.strength for r in read.readings if r.kind == "legal wording" for b in r.bounds} == {"weak"}
    assert read.window.window.first == day_of(1856)
    american = read_mark("U.S. Pat. No. 1,147,592")
    assert [b.strength for r in american.readings if r.kind == "legal wording" for b in r.bounds] == ["usual"]


def test_the_words_d_r_decide_that_a_patent_is_german() -> None:
    read = read_mark("D. R. Patent 67207")
    assert [r.series for r in read.readings if r.series] == ["DRP"]
    assert "United States" not in "".join(read.reasons)


@pytest.mark.parametrize(
    "text", [pytest.param("1079 / DEP", id="German"), pytest.param("PARIS / 10016", id="American")]
)
def test_a_postcode_never_crosses_the_end_of_a_line(text: str) -> None:
    assert "address" not in [r.kind for r in read_mark(text).readings]


def test_a_part_of_longer_wording_is_not_read_again_where_the_longer_one_says_it_better() -> None:
    assert kinds(read_mark("MADE IN OCCUPIED JAPAN")) == [
        ("country of origin", "MADE IN OCCUPIED JAPAN"),
        ("country of origin", "OCCUPIED JAPAN"),
    ]


def test_a_day_that_the_calendar_does_not_have_is_told_and_asked_about() -> None:
    read = read_mark("Patent Nov. 31, 1872")
    assert read.questions == ("What does 'Nov. 31, 1872' say on the piece? November 1872 has only 30 days.",)
    assert [r.sentence for r in read.readings if r.kind == "date"] == [
        "there is no such day: November 1872 has 30; it is not read otherwise"
    ]
    assert "1872" not in [r.number for r in read.readings]


@pytest.mark.parametrize(
    "text",
    [
        "12 fr. 50",
        "F 25",
        "25 F",
        "£1.1.0",
        "£ 2-10-6",
        "1/11½",
        "3 gns.",
        "5/-",
        "7s. 6d.",
        "12 Mk. 50 Pf.",
        "50 Pf.",
        "25¢",
    ],
)
def test_a_sum_of_money_is_a_price_as_a_whole_and_no_mould_number(text: str) -> None:
    read = read_mark(text)
    assert ("price", text) in kinds(read)
    assert "mould number" not in [r.kind for r in read.readings]


@pytest.mark.parametrize("text", ["10¾", "8½", "2/0", "2/6", "1872-318", "13/0"])
def test_a_number_keeps_its_fraction_or_stroke(text: str) -> None:
    assert {r.number for r in read_mark(text).readings if r.kind in ("mould number", "size number")} == {text}


@pytest.mark.parametrize("text", ["N° 4", "No. 4", "Nr. 4", "# 4", "№4"])
def test_the_word_for_number_belongs_to_the_number(text: str) -> None:
    found = read_mark(text).readings
    assert [(r.kind, r.number, r.text) for r in found] == [
        ("mould number", "4", text),
        ("size number", "4", text),
    ]


@pytest.mark.parametrize(
    ("text", "phrase"),
    [
        ("B[te] S[---]", "Breveté S.G.D.G."),
        ("[---]TÉ S.G.D.[.]", "Breveté S.G.D.G."),
        ("[---].G.D.G.", "S.G.D.G."),
        ("Pat[---] 187[.]", "Pat'd / Patented"),
        ("Ger[---]", "Germany"),
        ("Schutz[...]ke", "Schutzmarke"),
    ],
)
def test_torn_wording_is_read_as_what_it_can_be_and_bounds_only_weakly(text: str, phrase: str) -> None:
    read = read_mark(text)
    (found, *_) = [r for r in read.readings if r.text == text and phrase in r.sentence and r.bounds]
    assert {b.strength for b in found.bounds} == {"weak"}
    assert "only if the lost letters are these" in found.bounds[0].sentence
    assert "another word" in found.alternatives
    assert read.window.window.first is None


@pytest.mark.parametrize(
    ("text", "earliest"),
    [
        pytest.param("Germany", "1891-03-01", id="the name alone"),
        pytest.param("Berlin Germany", "1891-03-01", id="the name behind a town"),
        pytest.param("Made in Germany", "1887-08-23", id="within other words"),
        pytest.param("Made in / Germany", "1887-08-23", id="on the line below the other words"),
        pytest.param("[---] Germany", "1887-08-23", id="behind words that may have been Made in"),
        pytest.param("Made [.]n Germany", "1887-08-23", id="behind a word that may be in"),
        pytest.param("Made in France", None, id="a country for which Made in bounds weakly"),
        pytest.param("[---] France", None, id="the same with lost words"),
    ],
)
def test_a_country_takes_the_bound_of_a_name_alone_only_where_it_stands_alone(
    text: str, earliest: str | None
) -> None:
    first = read_mark(text).window.window.first
    assert (None if first is None else iso(first)) == earliest


@pytest.mark.parametrize(
    ("text", "strength"),
    [
        ("Rd. No. 230414", "hard"),
        ("Regd. No. 230414", "hard"),
        ("Registered No. 230414", "hard"),
        ("Reg. No. 230414", "usual"),
        ("REG. N° 230,414", "usual"),
    ],
)
def test_words_for_a_registered_design_are_known_and_reg_alone_is_never_hard(
    text: str, strength: str
) -> None:
    (found,) = [r for r in read_mark(text).readings if r.series is not None]
    assert (found.series, found.lowest) == ("GB-RD", 230414)
    assert {b.strength for b in found.bounds} == {strength}
    assert read_mark(text).window.window.first == day_of(1894)


def test_a_number_behind_reg_is_said_to_be_perhaps_of_another_register() -> None:
    (found,) = [r for r in read_mark("Reg. No. 230414").readings if r.series == "GB-RD"]
    assert found.sentence.endswith("; or of another register, such as one of trade marks")


@pytest.mark.parametrize("text", ["GES. GESCH. 1894", "ges. gesch. / 1894", "Schutzmarke 1894", "gegr. 1873"])
def test_behind_words_that_a_year_follows_four_digits_are_a_year_first_and_no_number_of_a_register(
    text: str,
) -> None:
    token = next(t for t in read_mark(text).tokens if t.readings[0].text.isdigit())
    assert [reading.kind for reading in token.readings] == ["year", "mould number"]


def test_a_number_behind_such_words_that_can_be_no_year_is_read_as_ever() -> None:
    kinds = [r.kind for r in read_mark("ges. gesch. 4/0").readings]
    assert "year" not in kinds
    assert "size number" in kinds


@pytest.mark.parametrize(
    "text",
    [
        "Importé d'Allemagne",
        "IMPORTE D’ALLEMAGNE",
        "Importé",
        "Fabriqué en Allemagne",
        "Made in Saxony",
        "SAXONY",
        "Bavaria",
    ],
)
def test_wording_of_the_origin_is_known_in_french_and_by_the_region(text: str) -> None:
    (first, *others) = read_mark(text).readings
    assert (first.kind, first.text) == ("country of origin", text)
    assert others == []
    assert first.bounds


def test_wording_of_the_origin_known_from_memory_bounds_weakly() -> None:
    for text in ("Importé d'Allemagne", "Fabriqué en Allemagne", "Saxony"):
        (reading,) = read_mark(text).readings
        assert {b.strength for b in reading.bounds} == {"weak"}
        assert all(b.is_from_memory for b in reading.bounds)
        assert "common practice, no source" in reading.bounds[0].source


@pytest.mark.parametrize("place", ["Bayern", "SACHSEN"])
def test_a_region_in_german_is_a_place(place: str) -> None:
    assert [r.kind for r in read_mark(place).readings] == ["place"]
