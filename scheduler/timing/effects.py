"""Which of several causes makes work take longer: effects of crossed groups, shrunk towards none.

Each observation is the logarithm of time taken by time planned. It is the sum of one effect for every
group that it belongs to (all work, its press, its placement ...) and of noise. An effect is believed to be
near 0 until the data say otherwise: it has a normal prior whose spread, one for each kind of group, is
learnt from the data together with that of the noise. So a group with few observations stays close to the
standard and one with many goes where its data are.

Sources: effects given their spreads: best linear unbiased prediction (C. R. Henderson; G. K. Robinson,
"That BLUP is a good thing: the estimation of random effects", *Statistical Science* 6, 1991). Spreads by
expectation and maximisation under scaled inverse chi-square priors, and noise with long tails (Student's
t) so that an interrupted run counts less: A. Gelman and others, *Bayesian Data Analysis*, 3rd ed. (2013),
chapters 5, 15 and 17; K. L. Lange, R. J. A. Little and J. M. G. Taylor, "Robust statistical modeling using
the t distribution", *Journal of the American Statistical Association* 84 (1989).
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import Any

USUAL_EFFECT, USUAL_NOISE = 0.10, 0.20
"""Spreads believed in before any data: standards are off by some 10 %, single runs by 20 (own choice)."""

PRIOR_WEIGHT = 4.0
"""Observations that such a belief counts as."""

TAIL_FREEDOM = 4.0
"""Degrees of freedom of the noise: the usual choice for robust fits."""

ROUNDS = 200
CLOSE = 1e-8


@dataclass(frozen=True, slots=True, kw_only=True)
class Effects:
    """Effects with their posterior means and covariances.

    Attributes
    ----------
    means
        One for each group.
    covariance
        Of the groups with each other; shape groups x groups.
    spreads
        Standard deviation of the effects of each kind.
    noise
        Standard deviation of an observation of weight 1.
    trust
        For each observation, at most 1.25: how much of its weight it keeps; little for an odd one.
    """

    means: tuple[float, ...]
    covariance: tuple[tuple[float, ...], ...]
    spreads: tuple[float, ...]
    noise: float
    trust: tuple[float, ...]


def posterior(
    groups: Sequence[Sequence[int]],
    values: Collection[float],
    precisions: Collection[float],
    effect_variances: Collection[float],
) -> tuple[Any, Any]:
    """Means and covariance of the effects when every variance is known.

    Parameters
    ----------
    groups
        For each observation, the numbers of the groups it belongs to.
    values
        The observations.
    precisions
        1 / variance of each one's noise, above 0.
    effect_variances
        Prior variance of each group's effect, above 0.

    Returns
    -------
    means, covariance
        Arrays of shape (groups,) and (groups, groups).
    """
    return _solved(_design(groups, len(effect_variances)), values, precisions, effect_variances)


def _design(groups: Sequence[Sequence[int]], count: int) -> Any:
    """1 where an observation belongs to a group; shape (observations, groups)."""
    import numpy as np

    design = np.zeros((len(groups), count))
    for row, own in enumerate(groups):
        design[row, list(own)] = 1.0
    return design


def _solved(design: Any, values: Any, precisions: Any, effect_variances: Any) -> tuple[Any, Any]:
    import numpy as np

    weighted = design * np.asarray(precisions)[:, None]
    information = weighted.T @ design + np.diag(1.0 / np.asarray(effect_variances))
    covariance = np.linalg.inv(information)
    return covariance @ (weighted.T @ np.asarray(values)), covariance


def estimate(
    groups: Sequence[Sequence[int]],
    values: Sequence[float],
    weights: Sequence[float],
    kinds: Sequence[int],
) -> Effects:
    """Effects, and the spreads that they and the noise have.

    Parameters
    ----------
    weights
        How much an observation tells: its noise has variance noise^2 / weight. Above 0.
    kinds
        For each group, the number of its kind (0, 1, ...); those of one kind share a spread.

    Raises
    ------
    ValueError
        When there is no observation.
    """
    import numpy as np

    if not values:
        raise ValueError("effects need at least one observation")
    observed, weight = np.asarray(values), np.asarray(weights)
    kind = np.asarray(kinds)
    count = int(kind.max()) + 1
    spread2 = np.full(count, USUAL_EFFECT**2)
    noise2 = USUAL_NOISE**2
    trust = np.ones(len(observed))
    design = _design(groups, len(kind))
    means, covariance = _solved(design, observed, weight / noise2, spread2[kind])
    for _ in range(ROUNDS):
        before = np.concatenate([means, spread2, [noise2]])
        means, covariance = _solved(design, observed, trust * weight / noise2, spread2[kind])
        left = observed - design @ means
        # the variance of what the effects explain of each observation
        unsure = ((design @ covariance) * design).sum(axis=1)
        trust = (TAIL_FREEDOM + 1) / (TAIL_FREEDOM + weight * (left**2 + unsure) / noise2)
        squares = means**2 + np.diag(covariance)
        for one in range(count):
            own = squares[kind == one]
            spread2[one] = (PRIOR_WEIGHT * USUAL_EFFECT**2 + own.sum()) / (PRIOR_WEIGHT + len(own))
        scatter = float((trust * weight * (left**2 + unsure)).sum())
        noise2 = (PRIOR_WEIGHT * USUAL_NOISE**2 + scatter) / (PRIOR_WEIGHT + len(observed))
        if np.abs(np.concatenate([means, spread2, [noise2]]) - before).max() < CLOSE:
            break
    # Trusts as they came out would make the effects look surer than they are: with long tails an observation
    # tells (f + 1) / (f + 3) of what it would tell without (Lange, Little and Taylor, 1989).
    told = (TAIL_FREEDOM + 1) / (TAIL_FREEDOM + 3)
    _, covariance = _solved(design, observed, told * weight / noise2, spread2[kind])
    return Effects(
        means=tuple(float(mean) for mean in means),
        covariance=tuple(tuple(float(value) for value in row) for row in covariance),
        spreads=tuple(float(value) for value in np.sqrt(spread2)),
        noise=float(np.sqrt(noise2)),
        trust=tuple(float(value) for value in trust),
    )
