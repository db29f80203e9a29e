"""What is asked of the engine beneath pymunk's public face is what pymunk itself says, to the last bit."""

import math

import pymunk
import pytest

from animator.world import engine


@pytest.fixture
def bodies():
    space = pymunk.Space()
    space.gravity = 0.0, -9806.65
    quick, plain = engine.Body(3.0, 7.0), pymunk.Body(3.0, 7.0)
    for body in (quick, plain):
        body.position, body.angle = (1.25, -7.5), 0.3
        body.velocity, body.angular_velocity = (11.0, 3.0), -2.0
        space.add(body)
    for _ in range(7):
        space.step(1e-3)
    return quick, plain


def test_a_body_answers_as_pymunks_own(bodies):
    quick, plain = bodies
    for name in ("position", "velocity", "angle", "angular_velocity"):
        assert getattr(quick, name) == getattr(plain, name)
        assert type(getattr(quick, name)) is type(getattr(plain, name))
    expected = (*plain.position, plain.angle, *plain.velocity, plain.angular_velocity)
    assert engine.state(engine.beneath(quick)) == expected
    assert engine.speeds(engine.beneath(quick)) == expected[3:]
    assert engine.spin(engine.beneath(quick)) == expected[5]
    assert quick.local_to_world((3.0, -1.0)) == plain.local_to_world((3.0, -1.0))
    quick.position = 2.0, 3.0
    assert quick.position == (2.0, 3.0)
    quick.torque = plain.torque = 4.0
    quick.torque += 1.5
    assert quick.torque == plain.torque + 1.5


def test_a_joints_ceiling_is_its_largest_force():
    space = pymunk.Space()
    body = engine.Body(1.0, 50.0)
    body.angular_velocity = 10.0
    brake = pymunk.SimpleMotor(space.static_body, body, 0.0)
    space.add(body, brake)
    ceiling = engine.Ceiling(brake)
    ceiling.set(2000.0)
    assert brake.max_force == 2000.0
    space.step(0.01)
    assert ceiling.impulse() == brake.impulse == pytest.approx(20.0)  # the force for the step
    assert body.angular_velocity == pytest.approx(10 - 20 / 50)


@pytest.mark.parametrize("leaves", [False, True])
def test_a_touch_is_put_in_place_of_the_engines(leaves):
    """Two proxies that overlap are told of a floor leaning by 30 degrees: a ball of 1 g that falls on it at 100 mm/s loses what it has along the normal."""
    space = pymunk.Space()
    ball = engine.Body(1.0, math.inf)
    ball.velocity = 0.0, -100.0
    space.add(ball)
    for body, kind in ((space.static_body, 1), (ball, 2)):
        proxy = pymunk.Circle(body, 1e4)
        proxy.collision_type = kind
        space.add(proxy)
    seen = engine.Presented()
    normal = -math.sin(math.radians(30)), math.cos(math.radians(30))
    given = []

    def before(arbiter, space, data):
        if leaves:
            engine.leave_out(arbiter)
        else:
            seen.put(arbiter, normal, (0.0, 0.0), (0.0, 0.0), 0.0, 0.0)

    def after(arbiter, space, data):
        given.append((engine.push(arbiter), tuple(arbiter.total_impulse)))

    space.on_collision(1, 2, pre_solve=before, post_solve=after)
    space.step(1e-4)
    if leaves:
        assert not given
        assert ball.velocity == (0.0, -100.0)
        return
    assert given[0][0] == given[0][1]
    along = ball.velocity.dot(normal)
    across = ball.velocity.x * normal[1] - ball.velocity.y * normal[0]
    assert along == pytest.approx(0.0, abs=1e-6)
    assert abs(across) == pytest.approx(100 * math.sin(math.radians(30)), rel=1e-6)
