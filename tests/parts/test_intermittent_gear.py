import math
from itertools import pairwise

import pytest

from animator.parts._involute import Toothing
from animator.parts._sector import Sector
from animator.world.assembling import assemble
from animator.world.linkage import Linkage
from animator.world.step_touches import SectorTouch
from tests.drawn import refusal, scene

SECTOR = """
sector: {kind: intermittent gear, on: shaft, teeth: 24, left: 7, module: 2, meshes with: wheel}
second: {kind: shaft, at: right of shaft}
wheel: {kind: gear, on: second, teeth: 24, module: 2}
"""


def test_shafts_stand_where_the_teeth_say():
    assert assemble(scene(SECTOR)).starts["second"].x == pytest.approx(148)


def test_its_mate_goes_on_by_one_tooth_more_and_waits():
    linkage = Linkage(assemble(scene(SECTOR)).parts)
    linkage.start()
    seen = []
    linkage.go_round(lambda turned: seen.append(linkage.pose("wheel").angle))
    assert seen[-1] - seen[0] == pytest.approx(-math.tau / 3)
    still = sum(abs(a - b) < 1e-9 for a, b in pairwise(seen))
    assert still / (len(seen) - 1) == pytest.approx(2 / 3, abs=0.05)


@pytest.mark.parametrize(("teeth", "mate", "left"), [(24, 24, 7), (30, 20, 4), (20, 32, 7)])
def test_flanks_carry_the_mate_and_nothing_overlaps(teeth, mate, left):
    """Pushed round slowly, the true outlines of both wheels never cut into each other."""
    geometry, affinity = (
        pytest.importorskip("shapely.geometry"),
        pytest.importorskip("shapely.affinity"),
    )
    shape = Sector(Toothing(teeth, 2.0, 0.1), Toothing(mate, 2.0, 0.1), left, 0.05)
    touch = SectorTouch(shape)
    own = geometry.Polygon(shape.outline()).buffer(0)
    other = geometry.Polygon(shape.mate.outline(0.0)).buffer(0)
    turned = start = math.pi + (shape.mate.share / 2 if left % 2 else 0.0) + shape.step / 2
    for i in range(721):
        way = -math.pi + math.tau * i / 720
        x, y = shape.distance * math.cos(-way), shape.distance * math.sin(-way)
        for _ in range(60):
            gap, nx, ny, px, py = touch.nearest(x, y, turned - way)
            if gap >= -1e-4:
                break
            turned -= gap / ((px - x) * ny - (py - y) * nx)
        if i % 12 == 0:
            here = affinity.rotate(own, way, (0, 0), use_radians=True)
            there = affinity.rotate(other, turned, (0, 0), use_radians=True)
            there = affinity.translate(there, shape.distance, 0.0)
            assert here.intersection(there).area < 0.02
    # the last tooth lets go a hair before the station; the lock does the rest
    assert (start - turned) / shape.mate.share == pytest.approx(left + 1, abs=0.03)


def test_stations_come_round():
    what, write = _misfit(SECTOR.replace("left: 7", "left: 6"))
    assert what.startswith("6 teeth turn 'wheel' by 7 of its 24")
    assert write == "'left: 5', 4 stations to a turn"


def _misfit(parts):
    from animator.problems import SceneError

    with pytest.raises(SceneError) as caught:
        assemble(scene(parts))
    (problem,) = caught.value.problems
    return problem.what, problem.write


def test_some_of_the_rim_is_left_for_the_lock():
    assert refusal(SECTOR.replace("left: 7", "left: 23")) == (
        "'sector': 23 of 24 teeth leave no part of the rim to lock with",
        "at most '21'",
    )
