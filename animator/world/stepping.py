"""The loop: drive, step, book, hand samples to the recorder, look for an end."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal, Protocol

import pymunk

from animator.world.building import World
from animator.world.drives import Drive
from animator.world.settings import JOINT_LIMIT, SAMPLE, WEDGE_LIMIT

STANDSTILL_TIME = 0.3  # s; shorter than a hand's patience, longer than any rattle
STANDSTILL_SHARE = 0.01  # of the due speed
REST_TIME = 0.5  # s that every switched-off motor must have stood before a piece is at rest
LONGEST_SHOW = 120.0  # s after its last coin, or so many turns of its main shaft: a piece that hasn't stopped itself by then doesn't
MOST_TURNS = 20.0
SETTLE_STEP = 0.05  # s
SETTLE_MOST = 1.5  # s
SETTLE_SPEED = 2.0  # mm/s; hanging parts are quiet below this
CHECK_EVERY = 20  # samples between looks at the joints
FLOWN = 1e9  # mm, mm/s or rad/s
FLEW_APART = "the joints came apart, so the run can't be trusted"
DEFAULT_SECONDS = 5.0  # a piece that nothing turns

EndKind = Literal["finished", "repeats", "standing", "not trusted"]


class Recorder(Protocol):
    """What takes the samples."""

    def take(self, t: float) -> None:
        """Record the world as it is."""

    def begin_count(self) -> None:
        """Count from the sample just taken."""

    def joint_error(self) -> float:
        """Worst distance between joined points now [mm]; not a number if anything flew off."""
        ...

    def given_way(self) -> float:
        """How far stems went on closing on their guides in spite of the solver, since this was last asked. [mm]"""
        ...

    def is_repeating(self, late: float = 0.0) -> bool:
        """Whether the turn just ended is the one before over again; the sample was taken so much after its end [s]."""
        ...

    @property
    def is_full(self) -> bool:
        """Whether the record has reached the size it may have."""
        ...


@dataclass(frozen=True)
class End:
    """How a run ended, in one sentence, and the worst joint error on the way. [mm]"""

    kind: EndKind
    sentence: str
    joint_error: float


def settle(world: World) -> None:
    """Let hanging and sprung parts come to rest before the drive starts; the books are opened afterwards."""
    settings = world.settings
    if not world.drives:
        return
    bodies = [link.body for link in world.links]
    t = 0.0
    while t < SETTLE_MOST:
        for _ in range(round(SETTLE_STEP / settings.dt)):
            _step(world, t, settings.dt)
        t += SETTLE_STEP
        if all(
            body.velocity.length < SETTLE_SPEED and abs(body.angular_velocity) < 0.05
            for body in bodies
        ):
            break
    for cell in (*world.heat.values(), *world.work.values()):
        cell.total = 0.0
    for entry in world.contacts.values():
        entry.unit.sample(SAMPLE)
        entry.unit.forget()
    for slip in world.slips.values():
        slip.recount()
    for drive in world.drives:
        drive.torque_sum = 0.0


def _step(world: World, t: float, dt: float) -> None:
    for call in world.before:
        call(t)
    world.space.step(dt)
    if world.faults:
        raise world.faults[0]
    for book in world.after:
        book()


def stride(world: World, time: float) -> float:
    """Step a world on by one sample from a time; the time after it. [s]"""
    dt, space_step, before, after = (
        world.settings.dt,
        world.space.step,
        world.before,
        world.after,
    )
    faults = world.faults
    for _ in range(world.settings.steps_a_sample):
        for call in before:
            call(time)
        space_step(dt)
        if faults:
            raise faults[0]
        for book in after:
            book()
        time += dt
    return time


def _has_flown(world: World) -> bool:
    """Whether a body is faster than anything a maker builds, or nowhere."""
    return any(
        not abs(value) < FLOWN
        for link in world.links
        for value in (*link.body.position, *link.body.velocity, link.body.angular_velocity)
    )


def run(world: World, recorder: Recorder, seconds: float | None, turns: float | None) -> End:
    """Run a world until its time or turns are done, it repeats, it stands, or it can't be trusted.

    Parameters
    ----------
    world
        Built and settled.
    recorder
        Takes a sample every millisecond.
    seconds, turns
        How long to run after the start-up; both None: until it repeats, at most 20 turns; a piece of switched motors until they stand; 5 s where nothing turns it.
        turns [1], seconds [s]

    Returns
    -------
    End
        Never raises for what the piece does; a run that goes wrong ends as ``not trusted``.
    """
    try:
        return _run(world, recorder, seconds, turns)
    except (ArithmeticError, ValueError):
        if not _has_flown(world):
            raise
        return End("not trusted", FLEW_APART, math.nan)


class Standstills:
    """Watches every drive: one that is on, pushes towards a speed and doesn't move for so long has come to stand. A motor that is off only rests."""

    def __init__(self, world: World) -> None:
        self._drives: list[Drive] = world.drives
        self._since = [0.0 for _ in world.drives]

    def look(self, time: float) -> Drive | None:
        """Give the first drive that stands although it should turn."""
        for i, drive in enumerate(self._drives):
            speed = drive.sense * drive.body.angular_velocity
            if (
                not drive.is_on
                or speed > max(STANDSTILL_SHARE * drive.due_speed, 1e-4)
                or drive.due_speed < 0.3 * drive.speed
            ):
                self._since[i] = time
            elif time - self._since[i] > STANDSTILL_TIME:
                return drive
        return None


class Rest:
    """Watches a piece that only switched motors turn: it rests when all of them are off and stand, and nothing is to come that could start them."""

    def __init__(self, world: World) -> None:
        self._drives: list[Drive] = world.drives
        self.can_come = bool(world.drives) and all(each.is_switched for each in world.drives)
        acts = (getattr(part, "acts_until", None) for part in world.scene.parts.values())
        self.last_call = max((each() for each in acts if each is not None), default=0.0)
        self._since = 0.0
        self._main = self._main_body(world)
        self._turned_from: float | None = None

    @staticmethod
    def _main_body(world: World) -> pymunk.Body | None:
        main = world.scene.main_shaft
        index = world.frames[main][0] if main in world.frames else -1
        return world.links[index].body if index >= 0 else None

    def is_late(self, time: float) -> bool:
        """Whether it should have come to rest long ago."""
        if time <= self.last_call:
            return False
        now = 0.0 if self._main is None else self._main.angle
        if self._turned_from is None:
            self._turned_from = now
        turned = abs(now - self._turned_from) / math.tau
        return turned >= MOST_TURNS or time >= self.last_call + LONGEST_SHOW

    def has_come(self, time: float) -> bool:
        """Whether nothing more will happen."""
        if any(drive.is_on or drive.is_turning for drive in self._drives):
            self._since = time
        return self.can_come and time > self.last_call and time - self._since > REST_TIME


def _never_stopped(world: World, time: float) -> str:
    running = [each.name for each in world.drives if each.is_on or each.is_turning]
    who = "itself" if len(running) == 1 else "themselves"
    return f"was stopped after {time:.0f} s: {' and '.join(running)} didn't stop by {who}"


def _run(world: World, recorder: Recorder, seconds: float | None, turns: float | None) -> End:
    # turns are counted on what turns always, if anything does
    lead = next((each for each in world.drives if not each.is_switched), None)
    drive: Drive | None = lead or (world.drives[0] if world.drives else None)
    for each in world.drives:
        each.is_released = True
    # a piece that its motors start and stop has its start in the picture
    start_time = drive.start_time if drive is not None and not drive.is_switched else 0.0
    rest, standstills = Rest(world), Standstills(world)
    until_rest = seconds is None and turns is None and rest.can_come
    until_repeat = seconds is None and turns is None and drive is not None and not until_rest
    if seconds is None and drive is None:
        seconds = DEFAULT_SECONDS  # nothing counts turns
    due_turns = MOST_TURNS if until_repeat else turns
    patience = (
        (start_time + due_turns * 2 * math.pi / drive.speed) * 4 + 10 + rest.last_call
        if drive is not None and due_turns is not None
        else math.inf  # a run by the clock ends by the clock
    )
    time, count, worst = 0.0, 0, 0.0
    is_counting = drive is None or start_time <= 0
    begun_at = 0.0
    begun_turned = drive.turned if drive is not None else 0.0
    next_turn = 1
    recorder.take(0.0)
    if is_counting:
        recorder.begin_count()
    while True:
        stride(world, time)
        count += 1
        time = count * SAMPLE  # no drift of the clock
        recorder.take(time)
        if count % CHECK_EVERY == 0:
            error = recorder.joint_error()
            if not error <= JOINT_LIMIT:
                return End("not trusted", FLEW_APART, error)
            if recorder.given_way() > WEDGE_LIMIT:
                return End(
                    "not trusted",
                    "a stem was forced through where it should have wedged, so the run can't be trusted",
                    error,
                )
            worst = max(worst, error)
        if not is_counting and time >= start_time:
            is_counting, begun_at = True, time
            begun_turned = drive.turned if drive is not None else 0.0
            recorder.begin_count()
        stands = standstills.look(time)
        if stands is not None:
            return End(
                "standing",
                f"{stands.shaft} stands still at {math.degrees(stands.turned):.0f} degrees",
                worst,
            )
        if seconds is None and rest.can_come:
            if rest.has_come(time):
                return End("finished", "came to rest by itself, every motor off", worst)
            if until_rest and rest.is_late(time):
                return End("finished", _never_stopped(world, time), worst)
        if is_counting:
            if seconds is not None and time - begun_at >= seconds - 1e-9:
                return End("finished", "ran its time", worst)
            if drive is not None and due_turns is not None:
                done = (drive.turned - begun_turned) / (2 * math.pi)
                if done >= due_turns - 1e-9:
                    return End("finished", "ran its turns", worst)
                if until_repeat and done >= next_turn:
                    speed = drive.sense * drive.body.angular_velocity
                    late = (done - next_turn) * 2 * math.pi / max(speed, 1e-4)
                    next_turn += 1
                    if recorder.is_repeating(min(late, SAMPLE)):
                        return End("repeats", "repeats itself", worst)
        if recorder.is_full:
            return End(
                "finished", f"was stopped after {time:.0f} s: no more can be recorded", worst
            )
        if time > patience:
            return End(
                "finished", "was stopped: it took four times as long as its turns should", worst
            )
