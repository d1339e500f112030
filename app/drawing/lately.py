"""The first screen: entries as they were noted, what came of them, and what lost its footing."""

from __future__ import annotations

from app.address import address
from app.drawing import record
from app.drawing.words import claim_link, link, parts, plain
from kg.asking.today import Brought, Clash, Lately, Noted, Sitting, Turned, Unfounded


def stretches(page: Lately) -> str:
    """The stretches to look back over."""
    items = "".join(
        f'<li class="w-now" aria-current="true">{plain(one.said)}</li>'
        if one.is_shown
        else f"<li>{link(address('today', back=one.name), plain(one.said))}</li>"
        for one in page.stretches
    )
    return (
        f'<nav class="w-kinds" aria-label="Look back over"><span>Look back over</span><ul>{items}</ul></nav>'
    )


def sittings(page: Lately) -> str:
    """What each researcher noted on each day."""
    more = f'<p class="k-small">{plain(page.more)}</p>' if page.more else ""
    return "".join(map(_sitting, page.sittings)) + more


def _sitting(one: Sitting) -> str:
    entries = "".join(map(_noted, one.entries))
    return (
        f'<div class="k-rec"><div class="k-prop">{plain(one.day)}<br>{plain(one.researcher)}</div>'
        f"<div>{entries}</div></div>"
    )


def _noted(one: Noted) -> str:
    note = f"<strong>{plain(one.note)}</strong> " if one.note else ""
    things = "; ".join(parts([thing]) for thing in one.things)
    more_things = f" and {one.more_things} more" if one.more_things else ""
    said = "".join(f"<li>{parts(claim)}</li>" for claim in one.claims)
    said += f"<li>and {one.more_claims} more claims</li>" if one.more_claims else ""
    said += "".join(
        f"<li>{claim_link(judged.claim.claim or '', judged.claim.text)}: <strong>{plain(judged.finding)}</strong>. "
        f"{plain(judged.why)}</li>"
        for judged in one.judged
    )
    about = f'<div class="k-small">About {things}{more_things}</div>' if things else ""
    listed = f'<ul class="k-list">{said}</ul>' if said else ""
    return f'<div class="w-noted">{note}<span class="k-small">{plain(one.holds)}</span>{about}{listed}</div>'


def conflicts(found: Brought) -> str:
    """New contradictions."""
    settled = f"<p>{found.settled} of those that stood then are settled.</p>" if found.settled else ""
    return f"<p>{plain(found.conflict_heading)}</p>{settled}{''.join(map(_clash, found.conflicts))}"


def _clash(one: Clash) -> str:
    return f'<article class="w-end"><h3>These cannot all be true</h3>{record.sentences(one.claims)}</article>'


def turned(found: Brought) -> str:
    """The datings whose verdict is another now."""
    more = f'<p class="k-small">and {found.more_turned} more</p>' if found.more_turned else ""
    return "".join(map(_turned, found.turned)) + more


def _turned(one: Turned) -> str:
    return (
        f'<div class="w-turned">{record.sentences([one.row])}'
        f"<p>{plain(one.then)} → <strong>{plain(one.now)}</strong></p></div>"
    )


def unfounded(found: Brought) -> str:
    """What is printed or written and rests on what no longer stands."""
    more = f'<p class="k-small">and {found.more_unfounded} more</p>' if found.more_unfounded else ""
    shaken = (
        f"<p>{link(address('loose_ends', kind='printed'), _shaken(found.shaken))}</p>" if found.shaken else ""
    )
    return "".join(map(_unfounded, found.unfounded)) + more + shaken


def _shaken(count: int) -> str:
    is_one = count == 1
    return (
        f"{count} more printed sentence{'' if is_one else 's'} rest{'s' if is_one else ''} "
        "on what is contested, doubted or unanchored"
    )


def _unfounded(one: Unfounded) -> str:
    words = f"<blockquote>{plain(one.words)}</blockquote>" if one.words else ""
    return (
        f'<article class="w-end"><h3>{parts([one.where])}</h3>{words}'
        f'<p class="k-small">It rests on</p>{record.sentences(one.claims)}</article>'
    )
