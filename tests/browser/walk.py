"""A day's work at the desk, step by step, in whatever way the reader works: from a date in doubt to the print."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from pathlib import Path

from pypdf import PdfReader

from tests.browser.conftest import Look
from tests.browser.hands import Hand, kept

#: What is typed into the lady's question, and the piece of which nothing is known yet.
PHRASE = "about 1878"
ATTIC = "Wooden lady from the attic"

#: The forms of print by the ending of their files, and the first bytes of such a file.
FORMS = {
    ".docx": ("A document for a word processor (DOCX)", b"PK\x03\x04"),
    ".pdf": ("Pages to print (PDF)", b"%PDF-"),
    ".html": ("A web page (HTML)", b"<!DOCTYPE html>"),
}


@dataclass
class Walk:
    """A reader's way through the screens; each step checks what the reader comes to read."""

    look: Look
    hand: Hand
    is_thorough: bool = True
    """Whether each claim that binds is followed to its page, or the first only."""
    seen: dict[str, str] = field(default_factory=dict)

    def whole(self, folder: Path) -> None:
        """The whole day; what is printed is kept in a folder."""
        self.to_the_lady()
        self.a_date_is_tested()
        self.whose_she_is()
        self.a_thread()
        self.one_witness()
        self.a_finding_is_added()
        self.an_essay_is_printed(folder)

    def heading(self, text: str) -> None:
        """Wait for a heading, word for word; the address of the screen is kept with it."""
        self.look.page.get_by_role("heading", name=text, exact=True).first.wait_for()
        self.look.rest()
        self.seen[self.look.page.url] = text

    def page_of(self, name: str) -> None:
        """Wait for the page of a thing."""
        self.look.page.locator(".k-thing h1", has_text=name).wait_for()
        self.heading(name)

    def says(self, text: str) -> None:
        """Wait until the screen says it."""
        self.look.page.get_by_text(text).first.wait_for()

    def to_the_lady(self) -> None:
        """From the first screen to the page of the demo's lady, by her name."""
        self.heading("Today")
        self.says("Demo: an invented trade")
        self.hand.write("Find", "Lady with the blue snood")
        self.page_of("Lady with the blue snood")

    def a_date_is_tested(self) -> None:
        """Her date: the verdict, what circa decides, and each claim that binds, with its source and place."""
        page = self.look.page
        self.hand.follow("Fit a date", "From here")
        self.heading("Fit a date")
        self.hand.write("Date as the catalogue prints it", PHRASE)
        self.verdict("Fits in part")
        self.says("Circa alone decides: 1878 by itself cannot fit")
        sides = page.locator(".k-side").all_inner_texts()
        assert sides == ["Not before 30 June 1880, because", "Not after 1 April 1884, because"]
        links = page.locator(".k-link:has(.k-claim)")
        bound = [
            (one.locator(".k-claim a").inner_text(), one.locator(".k-cite a").first.inner_text())
            for one in links.all()
        ]
        assert len(bound) == 6
        for claim, cited in bound if self.is_thorough else bound[:1]:
            self.the_claim_behind(claim, cited)

    def the_claim_behind(self, claim: str, cited: str) -> None:
        """Go to a claim that binds, read its source and place there, and go back."""
        page = self.look.page
        self.hand.follow(claim)
        self.heading("What is said, and where")
        said = page.locator(".k-sec").filter(has=page.get_by_role("heading", name="What is said, and where"))
        rows = dict(
            zip(said.locator(".k-prop").all_inner_texts(), said.locator(".k-prop + div").all(), strict=True)
        )
        source = rows["Source"].locator("a").inner_text()
        assert cited == f"{source}, {rows['Place'].inner_text()}"
        assert rows["Source"].locator("a").get_attribute("href", timeout=5_000), "it leads to its source"
        page.go_back()
        self.verdict("Fits in part")

    def verdict(self, word: str) -> None:
        """Wait for the verdict of *Fit a date*."""
        self.look.page.locator(".k-verdict h2", has_text=re.compile(f"^{word}$")).wait_for()
        self.look.rest()
        self.seen[self.look.page.url] = "Fit a date"

    def whose_she_is(self) -> None:
        """The lady without a name: who stands first, who is struck and why, what to look at next."""
        self.hand.follow("Whose is it?", "App pages")
        self.heading("Whose is it?")
        self.hand.choose("Piece", "Unidentified lady")
        self.heading("Possibly by Courtépée")
        self.says("Struck, whatever else speaks for them")
        self.hand.open("Castagnet excluded")
        self.says("ribbon dyed with eosin available from summer 1874")
        struck = self.section("Struck, whatever else speaks for them")
        assert "Castagnet" in struck
        assert "eosin" in struck
        assert "wig" in self.section("What to look at next")

    def section(self, title: str) -> str:
        """The words under a heading."""
        page = self.look.page
        found = page.locator(".k-sec").filter(has=page.get_by_role("heading", name=title, exact=True))
        return found.inner_text()

    def a_thread(self) -> None:
        """From the shop on her ticket to the maker: each step with its source."""
        page = self.look.page
        self.hand.follow("Threads", "App pages")
        self.heading("Threads")
        self.hand.choose("From", "Bourdarias")
        self.heading("Round Bourdarias")
        self.hand.choose("To", "Courtépée (firm")
        self.heading("From Bourdarias to Courtépée")
        steps = page.locator(".k-thread").first.locator(".k-joint")
        assert steps.count() == 2
        for step in steps.all():
            assert step.locator(".k-cite a[href^='thing?id=']").count() >= 1
            assert step.locator(".k-cite a[href^='claim?id=']").count() == 1

    def one_witness(self) -> None:
        """The article that bears much, and the claim of it that six repeat and one heard."""
        self.hand.follow("Sources weighed", "App pages")
        self.heading("The sources that bear most")
        self.hand.choose("Source", "Rességuier")
        self.heading("What falls")
        self.hand.write("Or a claim's id", "c23uehmyxge")
        self.heading("Vauquelard set up in business 1871")
        self.says("6 sources say it; 1 independent witness")

    def a_finding_is_added(self) -> None:
        """A finding about a piece of which nothing is known: its effect is shown first, then it is recorded."""
        self.hand.write("Find", ATTIC)
        self.page_of(ATTIC)
        self.hand.follow("Fit a date", "From here")
        self.heading("Fit a date")
        self.hand.write("Date as the catalogue prints it", "about 1840")
        self.verdict("Nothing bounds it")
        self.hand.write("Find", ATTIC)
        self.page_of(ATTIC)
        self.hand.follow("Add a finding", "From here")
        self.heading("Add a finding")
        finding(self.hand, self.look, "existed by", "1838", "p. 26")
        effect = self.section("What it would change")
        assert "nothing bounds it" in effect.lower()
        assert "fits in part" in effect.lower()
        self.hand.write("Your name, as your entries are to bear it", "Thea Umbermere")
        self.hand.press("Record 1 finding")
        self.says("Recorded by Thea Umbermere")
        self.hand.follow("Fit a date", "App pages")
        self.verdict("Fits in part")
        self.says("Of 1835–1845 only 1835–1838 is possible.")

    def an_essay_is_printed(self, folder: Path) -> None:
        """The essay on the lady with the audit beside it; three prints and the evidence sheet are kept."""
        page = self.look.page
        self.hand.follow("Essay bench", "App pages")
        self.heading("Essays on record")
        self.hand.follow("Lady with the blue snood")
        self.heading("Lady with the blue snood")
        self.says("Nothing is found. Read it all the same")
        self.hand.pick("Papers", "Beside the text")
        page.get_by_role("heading", name="The print", exact=True).wait_for()
        for ending, (form, beginning) in FORMS.items():
            place = self.printed(form, ending, folder)
            assert place.read_bytes()[: len(beginning)] == beginning
            if ending == ".pdf":
                text = PdfReader(place).pages[0].extract_text()
                assert "Lady with the blue snood" in " ".join(text.split())
        self.hand.press("Make the evidence sheet")
        button = page.get_by_role("button", name=re.compile(r"^Keep .*-evidence\.pdf$"))
        button.wait_for()
        sheet = PdfReader(kept(self.hand, button.inner_text(), folder))
        assert len(sheet.pages) == 2

    def printed(self, form: str, ending: str, folder: Path) -> Path:
        """The print in a form, made and kept."""
        self.hand.pick(form, "Form")
        self.look.rest()
        self.hand.press("Make the print")
        button = self.look.page.get_by_role("button", name=re.compile(rf"^Keep .*\{ending}$"))
        button.last.wait_for()
        return kept(self.hand, button.last.inner_text(), folder)


def finding(hand: Hand, look: Look, says: str, value: str, place: str) -> None:
    """Fill in a finding about the thing that is chosen, and put it on the note."""
    hand.choose("What it says of it", says)
    look.rest()
    hand.write("Date, as the source prints it", value)
    look.rest()
    hand.choose("Source that says so", "Brindlecombe")
    look.rest()
    hand.write("Place in the source", place)
    look.rest()
    hand.press("Put it on the note")
    look.page.get_by_role("heading", name="What it would change").wait_for()
    look.rest()
