"""Both sides free: the exact search against a general solver, and what it proves up to 40 controls."""

from __future__ import annotations

from random import Random

import pytest

from doorsheet.layout.alike import kinds
from doorsheet.layout.fill import states
from doorsheet.layout.numbered import Network
from doorsheet.layout.order import put_in_order
from tests.layout.how_many import cases
from tests.layout.instances import Instance, installation, nasty, realistic, star
from tests.layout.two_sides import can_be_drawn

WORK = 4.0
"""Of the solver, for one question; small instances are always decided with less."""


def certificate_agrees(instance: Instance) -> bool:
    """Check that the solver finds as few and not fewer; return whether it could decide the latter."""
    found = put_in_order(instance.left, instance.right, instance.pairs)
    assert found.proved
    assert can_be_drawn(instance, found.crossings, WORK) is not False
    if not found.crossings:
        return True
    fewer = can_be_drawn(instance, found.crossings - 1, WORK)
    assert fewer is not True
    return fewer is False


@pytest.mark.parametrize("controls", [4, 6, 8])
def test_realistic_mappings_agree_with_a_solver(controls: int) -> None:
    pytest.importorskip("ortools", reason="the solver is a test dependency")
    decided = [certificate_agrees(realistic(Random(seed), controls)) for seed in range(cases(3))]
    assert all(decided[:3]) if controls <= 6 else any(decided)


@pytest.mark.parametrize("devices", [4, 6, 8])
def test_nasty_ones_agree_with_a_solver(devices: int) -> None:
    pytest.importorskip("ortools", reason="the solver is a test dependency")
    decided = [certificate_agrees(nasty(Random(seed), devices, devices)) for seed in range(cases(4))]
    assert all(decided[:4]) if devices <= 4 else any(decided)


def test_rewired_installations_agree_with_a_solver() -> None:
    pytest.importorskip("ortools", reason="the solver is a test dependency")
    decided = [certificate_agrees(installation(Random(seed), 12, rewired=0.8)) for seed in range(cases(6))]
    assert all(decided[:6])


@pytest.mark.parametrize("controls", [10, 12, 16, 24, 40])
def test_realistic_mappings_of_up_to_40_controls_end_proved(controls: int) -> None:
    for seed in range(cases(8)):
        instance = realistic(Random(seed), controls)
        assert put_in_order(instance.left, instance.right, instance.pairs, links=instance.links).proved


def test_a_common_with_many_switches_is_one_kind() -> None:
    """So 40 of them, all alike, are filled in through 41 counts, not 40! orders."""
    many = star(40)
    network = Network.of(many.left, many.right, many.pairs)
    found = kinds(network.left, network.right)
    assert [len(kind.members) for kind in found] == [40]
    assert states(found) == 41


def test_clusters_that_differ_in_what_they_share_are_of_different_kinds() -> None:
    mixed = realistic(Random(3), 12)
    network = Network.of(mixed.left, mixed.right, mixed.pairs)
    found = kinds(network.left, network.right)
    assert sorted(n for kind in found for n in kind.members) == list(range(len(mixed.left)))
    for kind in found:
        shared = {
            tuple(
                sorted(
                    t
                    for own in network.left.terminals[n]
                    for t in network.left.to[own]
                    if _shared(network, t)
                )
            )
            for n in kind.members
        }
        assert len(shared) == 1


def _shared(network: Network, target: int) -> bool:
    return len(network.right.to[target]) > 1
