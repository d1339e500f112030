"""Who may do what at the desk: readers see, researchers add, editors also judge, join, undo and publish.

What a note needs is told from what it holds, so that no screen can forget to ask. Without sign-in the daybook lies on
the reader's own machine, and whoever opens it there is its editor.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping
from contextlib import suppress
from dataclasses import dataclass, field, replace
from enum import Enum, IntEnum
from pathlib import Path

from kg.daybook.daybook import Note
from kg.daybook.record import Claim
from kg.errors import KilnmarkError
from kg.vocabulary import Vocabulary

#: The file that names the colleagues, in the daybook's folder unless another is given.
COLLEAGUES = "colleagues.toml"

#: The property that holds the text of an essay.
ESSAY_TEXT = "essayText"

#: What the file looks like.
EXAMPLE = """\
# Who may do what. Whoever signs in and is not named is a reader.
[colleagues]
"adela@example.org" = "editor"
"corwin@example.org" = "researcher"
"""

#: Stands where a name will sign, while a note is only tried.
UNSIGNED = "not signed yet"

#: Characters of a name that signs.
LONGEST_NAME = 200


class MayNot(KilnmarkError):
    """A colleague asked for what that colleague's role does not allow; nothing was recorded."""


class NoName(KilnmarkError):
    """Nobody signs: an entry bears the name of its researcher."""


class BadColleagues(KilnmarkError):
    """The file that names the colleagues cannot be used."""


class Role(IntEnum):
    """What a colleague is to the daybook; each may do all that the ones before may."""

    READER = 1
    RESEARCHER = 2
    EDITOR = 3

    @property
    def word(self) -> str:
        """The role as one reads it."""
        return self.name.lower()


class Act(Enum):
    """What is done at the desk, as one says it."""

    ADD = "add findings"
    JUDGE = "judge claims"
    JOIN = "say whether two things are one"
    UNDO = "undo an entry"
    PUBLISH = "publish"

    @property
    def least(self) -> Role:
        """The least role that may do it."""
        return Role.RESEARCHER if self is Act.ADD else Role.EDITOR


@dataclass(frozen=True, slots=True)
class Colleague:
    """Whoever is at the desk: the name that signs, and the role."""

    name: str
    role: Role = Role.EDITOR

    def may(self, act: Act) -> bool:
        """Whether the role allows it."""
        return self.role >= act.least

    def require(self, acts: Iterable[Act]) -> None:
        """Refuse what the role does not allow.

        :raises MayNot: naming the first act that it does not, and who may.
        """
        for act in acts:
            if not self.may(act):
                raise MayNot(
                    f"{self.name or 'Whoever is not signed in'} is a {self.role.word} here and may not {act.value}. "
                    f"It takes the role of {act.least.word}: ask whoever keeps {COLLEAGUES}."
                )


@dataclass(frozen=True)
class Colleagues:
    """The roles of those who sign in, by their address; whoever is not named is a reader."""

    roles: Mapping[str, Role] = field(default_factory=dict)

    @classmethod
    def read(cls, path: Path) -> Colleagues:
        """The roles that a file names; none where there is no file.

        :raises BadColleagues: if it cannot be read, or names a role that there is not.
        """
        if not path.is_file():
            return cls()
        try:
            tables = tomllib.loads(path.read_text(encoding="utf-8-sig"))
        except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
            raise BadColleagues(f"{path} cannot be read as TOML: {error}. Mend it.") from error
        named = tables.get("colleagues")
        if not isinstance(named, dict) or tables.keys() != {"colleagues"}:
            raise BadColleagues(f"{path}: expected one table [colleagues], such as\n{EXAMPLE}")
        return cls({str(who).strip().casefold(): _role(path, str(who), role) for who, role in named.items()})

    def by_claims(self, told: Mapping[str, object]) -> Colleague:
        """The colleague whom the sign-in tells of (OpenID Connect Core 1.0, 5.1: ``email``, ``name``).

        An address that the sign-in itself calls unverified gives no more than a reader.

        :raises NoName: if it tells neither name nor address.
        """
        address = str(told.get("email") or "")
        found = self.signed_in(address, str(told.get("name") or ""))
        return replace(found, role=Role.READER) if told.get("email_verified") is False else found

    def signed_in(self, address: str, name: str = "") -> Colleague:
        """The colleague who signed in with an address; entries are signed with the name, else the address."""
        known = self.roles.get(address.strip().casefold(), Role.READER)
        return Colleague(signing(name or address), known)


def signing(name: object) -> str:
    """A name as it signs: on one line, without blanks around it.

    :raises NoName: if there is none, or it is too long.

    >>> signing("  Ada   Quill ")
    'Ada Quill'
    """
    plain = " ".join("".join(c if c.isprintable() else " " for c in str(name)).split())
    if not plain:
        raise NoName("Nobody signs yet. Give the name that your entries are to bear.")
    if len(plain) > LONGEST_NAME:
        raise NoName(f"The name has {len(plain)} characters; at most {LONGEST_NAME} can sign.")
    return plain


def acts_of(note: Note, vocabulary: Vocabulary, claims: Mapping[str, Claim] | None = None) -> tuple[Act, ...]:
    """What recording a note does, told from what it holds.

    With the claims on record, a judgement by which an essay's text gives way to its next version counts as adding.
    """
    properties = vocabulary.properties
    joining = {name for name, prop in properties.items() if prop.is_identity} | {"differentFrom"}
    said = {draft.property for draft in note.drafts}
    acts = [Act.ADD] if note.things or note.drafts else []
    acts += [Act.JOIN] if said & joining else []
    rewritten = {draft.subject for draft in note.drafts if draft.property == ESSAY_TEXT}
    judged = [(claims or {}).get(judgement.claim) for judgement in note.judgements]
    acts += [Act.JUDGE] if not all(_gives_way(claim, rewritten) for claim in judged) else []
    return tuple(acts)


def _gives_way(claim: Claim | None, rewritten: set[str]) -> bool:
    """Whether a claim is the text of an essay that the same note writes anew."""
    return claim is not None and claim.property == ESSAY_TEXT and claim.subject in rewritten


def _role(path: Path, who: str, given: object) -> Role:
    for role in Role:
        if given == role.word:
            return role
    known = ", ".join(role.word for role in Role)
    raise BadColleagues(f"{path}: the role of {who!r} is {given!r}; expected {known}.")


def kept_name(file: Path | None) -> str:
    """The name that signed last on this machine; empty where none is kept."""
    if file is None:
        return ""
    try:
        return signing(file.read_text(encoding="utf-8"))
    except (OSError, UnicodeDecodeError, NoName):
        return ""  # it is asked for again


def keep_name(file: Path | None, name: str) -> None:
    """Keep the name that signs on this machine, where a place for it is named; without one it lasts for the visit."""
    if file is None:
        return
    with suppress(OSError):  # a folder that cannot be written to only means to be asked again
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(name, encoding="utf-8")
