"""Threads as plain tables, for screens and JSON."""

from __future__ import annotations

from typing import Any

from kg.sources_weighed.standing import steps_below_the_best
from kg.sources_weighed.telling import told
from kg.threads.threads import Link, Thread, Threads


def told_thread(threads: Threads, thread: Thread) -> dict[str, Any]:
    """A thread step by step, each with its claim, source and standing."""
    return {
        "links": len(thread.links),
        "steps_below_the_best": sum(steps_below_the_best(link.step) for link in thread.links),
        "cost": thread.cost,
        "steps": [_told_link(threads, link) for link in thread.links],
    }


def _told_link(threads: Threads, link: Link) -> dict[str, Any]:
    view = threads.view
    return {
        "from": link.before,
        "from_label": view.label(link.before),
        "to": link.after,
        "to_label": view.label(link.after),
        "step": link.step.value,
        **told(view, link.claim),
        "others": [told(view, claim) for claim in link.others],
    }
