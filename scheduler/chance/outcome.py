"""What replays come to by order: when each is packed, how late it is, and chances with their intervals."""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from scheduler.domain.chances import Chance

Floats = NDArray[np.float64]

CONFIDENCE = 0.95

CLOSE = 1e-6
"""Ticks within which a finish is on time: sums of fractions are not exact."""


def wilson(hits: int, of: int, confidence: float = CONFIDENCE) -> Chance:
    """A share and the interval of its chance by the score method.

    Source: E. B. Wilson, "Probable inference, the law of succession, and statistical inference",
    *Journal of the American Statistical Association* 22 (1927).
    """
    if not 0 <= hits <= of or of < 1:
        raise ValueError(f"{hits} of {of} is no share")
    z = NormalDist().inv_cdf((1 + confidence) / 2)
    share = hits / of
    middle = (share + z * z / (2 * of)) / (1 + z * z / of)
    reach = z / (1 + z * z / of) * sqrt(share * (1 - share) / of + z * z / (4 * of * of))
    low, high = max(0.0, middle - reach), min(1.0, middle + reach)
    return Chance(best=share, low=0.0 if hits == 0 else low, high=1.0 if hits == of else high)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Outcome:
    """What replays came to by order.

    Attributes
    ----------
    jobs
        Ids of the orders, in the order of the instance.
    finished
        When each is packed, in ticks, infinite when never; shape (replays, orders).
    due
        Cut-offs in ticks, infinite where there is none.
    open_end
        Of each order, whether it is not late though it is not done within the planned days: its cut-off comes
        after them; shape (orders,). None: of none.
    """

    jobs: tuple[str, ...]
    finished: Floats
    due: Floats
    weights: Floats
    horizon: float
    open_end: NDArray[np.bool_] | None = None

    @property
    def on_time(self) -> NDArray[np.bool_]:
        """Whether each order is; shape (replays, orders)."""
        kept: NDArray[np.bool_] = self.finished <= self.due + CLOSE
        return kept if self.open_end is None else kept | (self.open_end & np.isinf(self.finished))

    @property
    def late(self) -> Floats:
        """Ticks after the cut-off; what is never done is late until the planned days are over."""
        has_due = np.isfinite(self.due)
        due = np.where(has_due, self.due, self.horizon)
        end = np.minimum(self.finished, np.maximum(due, self.horizon))
        late: Floats = np.where(has_due, np.maximum(0.0, end - due), 0.0)
        return late

    @property
    def weighted_late(self) -> float:
        """Weighted ticks on average over the replays."""
        return float((self.late * self.weights).sum(axis=1).mean())

    @property
    def orders_on_time(self) -> float:
        """Orders on time, on average over the replays."""
        return float(self.on_time.sum(axis=1).mean())

    @property
    def weighted_on_time(self) -> float:
        """Weight of the orders on time, on average over the replays."""
        return float((self.on_time * self.weights).sum(axis=1).mean())

    @property
    def day_on_time(self) -> int:
        """Replays in which all orders are on time."""
        return int(self.on_time.all(axis=1).sum())

    @property
    def ever_on_time(self) -> NDArray[np.bool_]:
        """Whether each order is in one replay at least; shape (orders,)."""
        return np.asarray(self.on_time.any(axis=0))

    @property
    def others_on_time(self) -> int:
        """Replays in which all orders are on time that ever are."""
        return int(self.on_time[:, self.ever_on_time].all(axis=1).sum())


def percentile(values: Floats, share: float) -> float:
    """The least value that so large a share of replays does not exceed; infinite when they exceed all."""
    ordered = np.sort(values)
    return float(ordered[min(len(ordered) - 1, max(0, int(np.ceil(share * len(ordered))) - 1))])
