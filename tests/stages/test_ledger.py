"""The energy books: what goes in is heat or stored, and nothing is booked by subtraction."""

import numpy as np
import pytest

import animator
from animator.motion.ledger import keep_books
from animator.parts._contract import Weight
from animator.world import contacts, drives
from animator.world.settings import RESIDUAL_LIMIT
from tests.pieces import DEMOS, SCENES, run_demo


def variants(name):
    """Names of a demo's variants, read off the scene's own text; one of them is always the piece as drawn."""
    return list(animator.read(SCENES / f"{name}.yaml").tree["variants"])


EVERY = [(name, variant) for name in DEMOS for variant in variants(name)]


def unexplained(motion):
    """Largest part of the work put in that is neither heat nor stored, up to where the piece stands. [%]"""
    ledger = motion.ledger
    stops = len(motion.times)
    if motion.end in ("stalled", "jammed"):
        moving = motion.drive.speed > 0.01 * motion.drive.due_speed.max()
        stops = int(np.flatnonzero(moving)[-1]) + 1
    put_in = sum(np.abs(np.diff(total[:stops])).sum() for total in ledger.work_in.values())
    stored = ledger.kinetic + ledger.potential + ledger.spring
    heat = sum(ledger.heat.values())
    work = sum(ledger.work_in.values())
    return 100 * np.abs(work - heat - stored)[:stops].max() / max(put_in, 1e5)


@pytest.mark.slow
@pytest.mark.parametrize(("name", "variant"), EVERY)
def test_books_of_every_demo_balance_at_every_friction(name, variant):
    for level in (0, 0.5, 1):
        motion = run_demo(name, variant, level)
        assert motion.trust.is_ok
        assert unexplained(motion) < RESIDUAL_LIMIT
        assert motion.trust.residual_percent < RESIDUAL_LIMIT


@pytest.mark.parametrize(
    ("name", "variant"), [("baker", "dry guide"), ("heron", "fast"), ("carousel", "band")]
)
def test_books_balance(name, variant):
    assert unexplained(run_demo(name, variant, turns=0.5)) < RESIDUAL_LIMIT


def test_doubled_friction_that_the_books_are_not_told_of_trips_them(monkeypatch):
    # the engine rubs twice as hard as what is booked
    told = contacts.GuideContact.end_step

    def half_told(self):
        # away with half of the push along the guide
        c, s = self._cos, self._sin
        self._pending[:] = [
            (lip, x - 0.5 * (x * c + y * s) * c, y - 0.5 * (x * c + y * s) * s)
            for lip, x, y in self._pending
        ]
        told(self)

    monkeypatch.setattr(contacts.GuideContact, "end_step", half_told)
    motion = run_demo("baker", "dry guide", turns=0.5)
    assert not motion.trust.is_ok
    assert motion.trust.residual_percent > 10
    assert "can't be accounted for" in motion.trust.sentence


def test_forgotten_heat_of_a_bearing_trips_the_books(monkeypatch):
    # a crankshaft's bearing that drags, and says nothing
    from animator.world.building import Bench

    heat = Bench.heat
    monkeypatch.setattr(
        Bench,
        "heat",
        lambda self, place: (
            contacts.Cell() if place == "bearing of crankshaft" else heat(self, place)
        ),
    )
    motion = run_demo("baker", "dry guide", turns=0.5)
    assert not motion.trust.is_ok


def test_work_that_a_drive_makes_up_trips_the_books(monkeypatch):
    honest = drives.Drive.after

    def boastful(self):
        before = self._work.total
        honest(self)
        self._work.total += 0.02 * (self._work.total - before)

    monkeypatch.setattr(drives.Drive, "after", boastful)
    motion = run_demo("baker", "dry guide", turns=0.5)
    assert not motion.trust.is_ok
    assert motion.trust.residual_percent == pytest.approx(2, abs=0.3)


@pytest.mark.slow
def test_no_heat_is_negative_and_rubbing_only_grows():
    motion = run_demo("heron", turns=0.5)
    for place, total in motion.ledger.heat.items():
        if "landings" not in place and "knocks" not in place:
            # a contact's work is booked when the step after is known, so a sample may lag by one step
            assert np.diff(total).min() > -1e-3 * max(total[-1], 1.0), place


def test_books_of_a_falling_stone_balance_by_hand():
    # 10 g, 1 mm/s faster every millisecond, without any force but weight: kinetic up, potential down
    times = np.arange(4) * 1e-3
    pull = 9806.65
    bodies = np.zeros((4, 1, 6))
    bodies[:, 0, 1] = 100 - pull * times**2 / 2
    bodies[:, 0, 4] = -pull * times
    books = keep_books(bodies, [Weight(10.0)], {}, {}, [], np.array([pull]))
    assert books.kinetic[-1] == pytest.approx(0.5 * 10 * (pull * 3e-3) ** 2)
    assert books.residual == pytest.approx(0, abs=1e-6)
