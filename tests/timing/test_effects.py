"""Crossed effects, shrunk: against the formula by another route, and on data whose truth is known."""

from __future__ import annotations

import random

import numpy as np
import pytest

from scheduler.timing.effects import estimate, posterior

GROUPS = [[0, 1, 3], [0, 2, 3], [0, 1, 4], [0, 2, 4], [0, 1, 4], [0, 1, 3]]
VALUES = [0.2, 0.05, 0.3, -0.1, 0.25, 0.1]
WEIGHTS = [1.0, 2.0, 0.5, 1.0, 1.5, 0.7]
KINDS = [0, 1, 1, 2, 2]


def test_the_posterior_is_the_best_linear_unbiased_prediction() -> None:
    """By the other route of Henderson's identity: D Z' V^-1 y with V = Z D Z' + R, and D - D Z' V^-1 Z D."""
    prior = [0.01, 0.02, 0.02, 0.04, 0.04]
    means, covariance = posterior(GROUPS, VALUES, WEIGHTS, prior)
    design = np.zeros((len(VALUES), len(prior)))
    for row, group in enumerate(GROUPS):
        design[row, group] = 1
    d = np.diag(prior)
    v = design @ d @ design.T + np.diag(1 / np.array(WEIGHTS))
    assert means == pytest.approx(d @ design.T @ np.linalg.solve(v, np.array(VALUES)))
    assert covariance == pytest.approx(d - d @ design.T @ np.linalg.solve(v, design @ d))


def test_one_group_is_the_textbooks_weighted_mean_of_data_and_prior() -> None:
    """By hand: 4 values of 0.2 with noise 0.2, prior 0.1: 0.2 x 4/0.04 / (4/0.04 + 1/0.01) = 0.1."""
    means, covariance = posterior([[0]] * 4, [0.2] * 4, [1 / 0.04] * 4, [0.01])
    assert means == pytest.approx([0.1])
    assert covariance == pytest.approx(np.array([[0.005]]))


def made(effects: list[float], count: int, noise: float, seed: int) -> tuple[list[list[int]], list[float]]:
    """Observations of two kinds of groups, two of each, crossed at random."""
    chance = random.Random(seed)
    groups = [[chance.choice((0, 1)), chance.choice((2, 3))] for _ in range(count)]
    values = [sum(effects[one] for one in group) + chance.gauss(0, noise) for group in groups]
    return groups, values


def test_many_data_go_where_they_are_and_few_stay_near_none() -> None:
    truth = [0.0, 0.3, 0.0, 0.0]
    for count, at_most in ((400, 0.05), (1, 0.35)):
        groups, values = made(truth, count, 0.1, 7)
        if count == 1:
            groups, values = [[1, 2]], [0.3]
        found = estimate(groups, values, [1.0] * len(values), [0, 0, 1, 1])
        difference = found.means[1] - found.means[0]
        assert abs(difference - 0.3) <= at_most
        if count == 1:
            assert 0 < found.means[1] < 0.1


def test_more_of_the_same_data_makes_surer_and_shrinks_less() -> None:
    guesses, errors = [], []
    for count in (1, 4, 16, 64):
        found = estimate([[0]] * count, [0.2] * count, [1.0] * count, [0])
        guesses.append(found.means[0])
        errors.append(found.covariance[0][0])
    assert guesses == sorted(guesses)
    assert errors == sorted(errors, reverse=True)
    assert guesses[-1] == pytest.approx(0.2, abs=0.01)


def test_intervals_hold_as_often_as_they_say() -> None:
    """Truth drawn anew 150 times, 40 observations each: the 95 % interval holds it in 90 to 100 %."""
    chance = random.Random(11)
    held = []
    for seed in range(150):
        truth = [chance.gauss(0, 0.1) for _ in range(4)]
        groups, values = made(truth, 40, 0.2, seed)
        found = estimate(groups, values, [1.0] * 40, [0, 0, 1, 1])
        for one in range(4):
            error = found.covariance[one][one] ** 0.5
            held.append(abs(found.means[one] - truth[one]) <= 1.96 * error)
    assert sum(held) / len(held) >= 0.90


def test_an_interrupted_run_counts_less() -> None:
    """One run of three times its planned time among twenty of the planned one."""
    values = [0.0, 0.02, -0.02, 0.01, -0.01] * 4 + [1.1]
    found = estimate([[0]] * 21, values, [1.0] * 21, [0])
    assert abs(found.means[0]) < 0.02
    assert found.trust[-1] < 0.1 < min(found.trust[:-1])


def test_the_estimate_ends_where_its_own_spreads_give_it_back() -> None:
    """With the spreads and trusts that it found, the closed formula gives the same means."""
    found = estimate(GROUPS, VALUES, WEIGHTS, KINDS)
    precisions = [t * w / found.noise**2 for t, w in zip(found.trust, WEIGHTS, strict=True)]
    prior = [found.spreads[kind] ** 2 for kind in KINDS]
    assert found.means == pytest.approx(posterior(GROUPS, VALUES, precisions, prior)[0], abs=1e-5)


def test_no_observation_is_refused() -> None:
    with pytest.raises(ValueError, match="at least one observation"):
        estimate([], [], [], [0])
