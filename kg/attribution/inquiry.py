"""What is learned from a daybook once, and then asked of each piece: likelihoods, shares, calibration, sizes."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from kg.attribution.dependence import likeness, shares
from kg.attribution.features import Features, load_features
from kg.attribution.good_turing import unseen_makers, unseen_mass
from kg.attribution.held_out import Calibration, calibrate, leave_one_out
from kg.attribution.likelihood import Likelihood, Smoothing
from kg.attribution.recorded import Recorded, recorded
from kg.attribution.sizes import Sizes, learned_sizes
from kg.attribution.weight import Floats
from kg.daybook.view import WorkingView

#: Unrecorded makers never take more than this of the prior.
MOST_UNSEEN = 0.5


@dataclass(frozen=True, slots=True)
class Settings:
    """What takes part in a ranking; all of it, unless a check switches something off."""

    is_hierarchical: bool = True
    counts_repeats_once: bool = True
    has_exclusions: bool = True
    has_unrecorded: bool = True
    is_calibrated: bool = True


@dataclass(frozen=True)
class Inquiry:
    """Everything that the recorded pieces teach; learn it once and rank as many pieces as you like."""

    recorded: Recorded
    settings: Settings
    whole: Inquiry | None = None
    """The inquiry with all recorded pieces, where one was left out of this one."""

    @classmethod
    def of(
        cls,
        view: WorkingView,
        settings: Settings | None = None,
        features: Features | None = None,
    ) -> Inquiry:
        """What a daybook teaches."""
        return cls(recorded(view, features or load_features()), settings or Settings())

    def leaving_out(self, piece: str) -> Inquiry:
        """What the other pieces teach: the piece that is asked about is not learned from."""
        rest = self.recorded.leaving_out(piece)
        return self if rest is self.recorded else Inquiry(rest, self.settings, self)

    @cached_property
    def likelihood(self) -> Likelihood:
        """The chance of each value for each maker."""
        return Likelihood.learned(self.recorded.records, Smoothing(self.settings.is_hierarchical))

    @cached_property
    def likeness(self) -> Floats:
        """How far features repeat each other, column by column."""
        if not self.settings.counts_repeats_once:
            return np.eye(len(self.recorded.columns))
        return likeness(self.recorded.records, self.recorded.declared)

    def shares(self, columns: Iterable[int]) -> Floats:
        """What each column counts, when those named are seen together; zero for the others."""
        seen = sorted(set(columns))
        found = np.zeros(len(self.recorded.columns))
        found[seen] = shares(self.likeness[np.ix_(seen, seen)])
        return found

    @cached_property
    def log_prior(self) -> Floats:
        """By maker, and last the maker not in the daybook: recorded output, and the mass of what is unseen.

        The unseen mass goes in equal parts to the makers on record of whom no piece is, and to as many unrecorded
        ones as Chao's estimator counts, at least one.
        """
        outputs = self.recorded.records.outputs
        mass = min(unseen_mass(outputs), MOST_UNSEEN)
        silent = int((outputs == 0).sum())
        unseen = max(unseen_makers(outputs), silent + 1.0)
        chances = np.where(outputs > 0, (1 - mass) * outputs / outputs.sum(), mass / unseen)
        last = mass * (unseen - silent) / unseen if self.settings.has_unrecorded else 0.0
        with np.errstate(divide="ignore"):
            logs: Floats = np.log(np.append(chances, last))
        return logs

    @cached_property
    def calibration(self) -> Calibration:
        """The held-out figures of all recorded pieces, each of which was ranked from the others; and the remedy."""
        if self.whole is not None:
            return self.whole.calibration
        every = self.shares(range(len(self.recorded.columns)))
        held = leave_one_out(self.likelihood, every, has_unrecorded=self.settings.has_unrecorded)
        return calibrate(held)

    @cached_property
    def pieces_of(self) -> Mapping[str, tuple[str, ...]]:
        """The recorded pieces of each maker."""
        rows = self.recorded.rows_of
        return {maker: tuple(self.recorded.pieces[row] for row in some) for maker, some in rows.items()}

    @cached_property
    def sizes(self) -> Sizes:
        """The size series of each maker."""
        return learned_sizes(self.recorded.view, self.pieces_of)
