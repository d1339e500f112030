"""Sentences of essays: where they end, where they begin, and which notes stand at them."""

from __future__ import annotations

import pytest

from kg.essays.sentences import essay_sentences, sentences
from kg.essays.syntax import Paragraph, Text, escaped, read_essay

#: Each case is a text in which | stands where a sentence ends and another begins. All invented.
ENGLISH = (
    "She is by Tarn. | She stands 18 in. (46 cm) high.",
    "She stands 18 in. high. | The arms are later.",
    "She stands 18 in. | The arms are later.",
    "It cost 12s. 6d. in 1890. | It cost more later.",
    "It cost 12s. 6d. | The price rose.",
    "Made by Tarn & Co. | The head is marked.",
    "Made by Tarn & Co. of Bath. | The head is marked.",
    "Made by Tarn & Co. Ltd. of Bath.",
    "Made by Brumelow Bros. | She was sold in Bath.",
    "Wigs, shoes, boxes, etc. | The shop sold all of them.",
    "Wigs, shoes, etc. were sold.",
    "See figs. 8 and 9. | The mark is clear.",
    "See Figs. 8 and 9.",
    "The list has two: 1. the mark; 2. the wig.",
    "1. the mark; 2. the wig.",
    "M. Vauquelard, J.-P. Tarn and A. B. Ottery signed it. | He kept a copy.",
    "The mould is marked M. | She is rare.",
    "Registered as no. 142. | She is marked so.",
    "Registered as no. 142 of 1890.",
    "Made c. 1890. | Sold c. 1891.",
    "Was it Tarn? | It was not!",
    "“Was it Tarn?” she asked. | Nobody knew.",
    "He said “It is ours.” | The court agreed.",
    "He said “It is ours.” and left.",
    "She waited … and left. | Nobody came.",
    "She waited... | Nobody came.",
    "Mr. and Mrs. Ottery opened a shop. | It failed.",
    "Dr. Tarn of St. Ives wrote it.",
    "The mark (see p. 12.) is clear. | It is deep.",
    "The mark is clear. | (See p. 12.) | It is deep.",
    "It is of bisque, e.g. the head. | The body is kid.",
    "It is of bisque, i.e. twice fired.",
    "Vol. 2, p. 33, pl. 4, has it. | It is by Tarn.",
    "The pages 12 ff. | The plates are worse.",
    "Sold in 1890. | 12 heads were left.",
    "Height: 15.5 cm. | Weight: 2.5 kg.",
    "The mark reads “T. & S. / 118”. | It is deep.",
    "The mark is T. & O. and is deep.",
    "She was made by 30 Nov. 1889. | She was sold.",
    "Made in the U.S.A. and sold in Bath.",
    "Ottery jun. took over. | Ottery sen. died.",
    "No stop at the end",
    "Cat. no. 14, inv. no. 3. | Both are lost.",
    "B. 1850, d. 1901. | Nothing else is known.",
)
FRENCH = (
    "Elle mesure 46 cm. | La tête est en biscuit.",
    "M. Vauquelard et Mme. Noizeux signent. | Il part.",
    "La Vve. Noizeux vend la maison à MM. Chazelas.",
    "Vendue env. 12 fr. | Le prix monte.",
    "Voir pl. 12, fig. 3 et p. 5. | La marque est nette.",
    "Chazelas & Cie. | La maison ferme.",
    "Chazelas & Cie. à Paris.",
    "Fabriquée v. 1885. | Elle porte la marque « Dép. » au dos.",
    "Est-ce Noizeux ? | On l’ignore.",
    "« Est-ce Noizeux ? » demande-t-il. | On l’ignore.",
    "Déposé le 3 janv. 1890. | Le brevet suit.",
    "Jean-P. Tarn et J.-P. Noizeux s’associent. | Ils échouent.",
    "Un bébé, p. ex. celui de Lyon. | Une dame.",
    "Breveté S.G.D.G. | La marque est rouge.",
)
GERMAN = (
    "Sie entstand am 3. Mai 1890. | Sie ist selten.",
    "Sie entstand im 19. Jahrhundert. | Die Marke fehlt.",
    "Der Kopf ist 12 cm hoch. | Der Körper ist später.",
    "Um 1890. | Die Marke fehlt.",
    "Vgl. Abb. 3 und Taf. 12, S. 5. | Die Marke fehlt.",
    "Nr. 142 ist von Gebr. Tarn & Co. in Coburg. | Die Firma erlosch.",
    "Er trägt z. B. die Nr. 118. | Sie trägt keine.",
    "Er trägt z.B. die Marke, d. h. die Nummer. | Sie nicht.",
    "Wachs, Holz usw. | Die Köpfe sind aus Biskuit.",
    "Die Köpfe des 18. und 19. Jhs. | Sie sind selten.",
    "König Ludwig II. von Bayern kaufte sie. | Sie ist verloren.",
    "Frl. Haubensack erbte. | Ihr Bruder starb.",
    "Das D.R.G.M. | Die Nummer fehlt.",
    "„Wer war es?“ fragte er. | Niemand wusste es.",
    "Der Preis war 12 M. | Die Puppe blieb.",
)
CASES = [
    *(pytest.param("en", text, id=f"en {text[:40]}") for text in ENGLISH),
    *(pytest.param("fr", text, id=f"fr {text[:40]}") for text in FRENCH),
    *(pytest.param("de", text, id=f"de {text[:40]}") for text in GERMAN),
]


@pytest.mark.parametrize(("language", "text"), CASES)
def test_a_sentence_ends_where_a_reader_ends_it(language: str, text: str) -> None:
    whole = Paragraph((Text(text.replace(" | ", " ")),))
    assert [s.text for s in sentences(whole, language)] == text.split(" | ")


@pytest.mark.parametrize(("language", "text"), CASES)
def test_a_note_behind_each_sentence_moves_no_end_and_belongs_to_it(language: str, text: str) -> None:
    wanted = text.split(" | ")
    written = " ".join(f"{escaped(part)}[^c333{'abcdefg'[n]}]" for n, part in enumerate(wanted))
    found = list(essay_sentences(read_essay(f"x {written}"), language))
    assert [s.text.removeprefix("x ") for s in found] == wanted
    assert [[note.claim for note in s.notes] for s in found] == [
        [f"c333{'abcdefg'[n]}"] for n in range(len(wanted))
    ]


def test_a_sentence_knows_the_line_and_column_of_its_first_word() -> None:
    essay = read_essay("# T\n\nOne \\[a\\] *here*. Two\nis here. **Three** ends.\n\n> Four.\n")
    assert [(s.text, str(s.place)) for s in essay_sentences(essay)] == [
        ("One [a] here.", "3:1"),
        ("Two is here.", "3:19"),
        ("Three ends.", "4:12"),
        ("Four.", "6:3"),
    ]


def test_a_note_belongs_to_the_words_before_it() -> None:
    essay = read_essay("[^c3aa]One[^c3bb] more. [^c3cc] Two[^own].")
    assert [[n.claim for n in s.notes] for s in essay_sentences(essay)] == [["c3aa", "c3bb", "c3cc"], [None]]


def test_headings_and_captions_are_no_sentences() -> None:
    assert list(essay_sentences(read_essay("# One. Two.\n\n![Three. Four.](photograph-a)"))) == []
