"""Takes the loop's samples and makes a Motion of them."""

from __future__ import annotations

import math
from array import array
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

import numpy as np
import pymunk
from pymunk import batch

from animator.geometry import Pose
from animator.motion.ledger import keep_books
from animator.motion.motion import Channel, Contact, Drive, End, Floats, Motion, Slip, Trust
from animator.world.building import GRAVITY, World
from animator.world.contacts import CurveContact, GuideContact
from animator.world.settings import RESIDUAL_LIMIT, SAMPLE
from animator.world.stepping import STANDSTILL_TIME
from animator.world.stepping import End as RunEnd

if TYPE_CHECKING:
    pass

MOST_BYTES = 200_000_000  # a record may not grow beyond this
BODY_COLUMNS = 6  # x, y, angle, vx, vy, spin
LEAST_WORK = (
    1e5  # g mm^2/s^2, what lifts 1 g by 10 mm; a piece that hardly stirs is not judged by less
)
PLACE_TOLERANCE = 0.05  # mm; a piece repeats when every part is back within this
ANGLE_TOLERANCE = math.radians(0.2)
SPEED_TOLERANCE = 0.01  # of the fastest


class Recorder:
    """Samples the world once a millisecond.

    Per sample: every body's place and speed, every contact, channel, ledger total and drive. Rows are kept end to end as plain numbers while it runs
    and become arrays at the end.
    """

    def __init__(self, world: World) -> None:
        self.world = world
        self._buffer = batch.Buffer()
        order = {id(body): i for i, body in enumerate(world.space.bodies)}
        self._rows = [order[id(link.body)] for link in world.links]
        self._fields = (
            batch.BodyFields.POSITION
            | batch.BodyFields.ANGLE
            | batch.BodyFields.VELOCITY
            | batch.BodyFields.ANGULAR_VELOCITY
        )
        self.times: list[float] = []
        self._bodies: list[bytes] = []
        self._contacts = [array("d") for _ in world.contacts]
        self._scalars = array("d")
        self._turn_states: list[Floats] = []
        self.begins = 0
        self._turned_at_begin = math.inf
        self._cells = list(world.heat.values()) + list(world.work.values())
        self._stored = list(world.stored.values())
        self._reads = [read for _, _, read in world.channels.values()]
        self._units = [entry.unit for entry in world.contacts.values()]
        self._anchors = [
            (
                self._index(joint.a),
                tuple(joint.anchor_a),
                self._index(joint.b),
                tuple(joint.anchor_b),
            )
            for joint in world.pivots
        ]
        self._grooves = [
            (
                self._index(joint.a),
                joint.groove_a,
                joint.groove_b,
                self._index(joint.b),
                joint.anchor_b,
            )
            for joint in world.grooves
        ]
        self._row_bytes = 8 * (
            BODY_COLUMNS * len(world.space.bodies)
            + 8 * len(self._units)
            + len(self._cells)
            + len(self._stored)
            + len(self._reads)
            + 3 * len(world.slips)
            + 4 * len(world.drives)
            + 12  # the clock, and what Python keeps of each row
        )

    def _index(self, body: pymunk.Body) -> int:
        return next((i for i, link in enumerate(self.world.links) if link.body is body), -1)

    @property
    def is_full(self) -> bool:
        """Whether the record has reached the size it may have."""
        return len(self.times) * self._row_bytes > MOST_BYTES

    def take(self, t: float) -> None:
        """Record the world as it is."""
        self._buffer.clear()
        batch.get_space_bodies(self.world.space, self._fields, self._buffer)
        self._bodies.append(bytes(self._buffer.float_buf()))
        self.times.append(t)
        for unit, rows in zip(self._units, self._contacts, strict=True):
            rows.extend(unit.sample(SAMPLE))
        row = [cell.total for cell in self._cells]
        row += [read() for read in self._stored]
        row += [read() for read in self._reads]
        for slip in self.world.slips.values():
            row += (slip.due, slip.got, slip.rubbed)
        for drive in self.world.drives:
            row += (
                drive.turned,
                drive.sense * drive.body.angular_velocity,
                drive.due_speed,
                drive.torque_sum,
            )
            drive.torque_sum = 0.0
        self._scalars.extend(row)

    def forget(self) -> None:
        """Drop every sample but the last, so that a piece can be run for days."""
        count = len(self.times)
        del self.times[:-1], self._bodies[:-1]
        for rows in (*self._contacts, self._scalars):
            del rows[: len(rows) - len(rows) // count]
        for entry in self.world.contacts.values():
            if isinstance(entry.unit, CurveContact):
                entry.unit.forget()  # landings pile up too

    def begin_count(self) -> None:
        """Count from the sample just taken."""
        self.begins = len(self.times) - 1
        self._turned_at_begin = self.world.drives[0].turned if self.world.drives else 0.0

    def _latest(self) -> Floats:
        whole = np.frombuffer(self._bodies[-1]).reshape(-1, BODY_COLUMNS)
        return whole[self._rows]

    def joint_error(self) -> float:
        """Worst distance between joined points now, or depth of one part in another; nan if anything flew off. [mm]"""
        now = self._latest()
        if not np.isfinite(now).all() or np.abs(now[:, :2]).max(initial=0.0) > 1e5:
            return math.nan
        worst = 0.0
        for a, (ax, ay), b, (bx, by) in self._anchors:
            pa = Pose(*now[a, :3]).place((ax, ay)) if a >= 0 else (ax, ay)
            pb = Pose(*now[b, :3]).place((bx, by)) if b >= 0 else (bx, by)
            worst = max(worst, math.hypot(pa[0] - pb[0], pa[1] - pb[1]))
        for a, start, end, b, anchor in self._grooves:
            frame = Pose(*now[a, :3]) if a >= 0 else Pose()
            (ax, ay), (bx, by) = frame.place(start), frame.place(end)
            x, y = Pose(*now[b, :3]).place(anchor) if b >= 0 else anchor
            aside = (x - ax) * (by - ay) - (y - ay) * (bx - ax)
            worst = max(worst, abs(aside) / math.hypot(bx - ax, by - ay))
        for unit in self._units:
            deep = unit.strayed() if isinstance(unit, GuideContact) else -unit.gap
            if math.isnan(deep):
                return deep
            worst = max(worst, deep)
        return worst

    def given_way(self) -> float:
        """How far stems went on closing on the lips of their guides in spite of the solver, since this was last asked. [mm]"""
        most = 0.0
        for unit in self._units:
            if isinstance(unit, GuideContact):
                most = max(most, unit.given_way * self.world.settings.dt)
                unit.given_way = 0.0
        return most

    def is_repeating(self, late: float = 0.0) -> bool:
        """Whether every body is where it was a turn ago, and as fast; also remembers this turn.

        ``late``: how long after the end of the turn the sample was taken [s]; places are brought back to that end.
        """
        now = self._latest().copy()
        now[:, :3] -= late * now[:, 3:]
        self._turn_states.append(now)
        if len(self._turn_states) < 2:
            return False
        before = self._turn_states[-2]
        place = np.abs(now[:, :2] - before[:, :2]).max(initial=0.0)
        turn = np.abs((now[:, 2] - before[:, 2] + math.pi) % (2 * math.pi) - math.pi).max(
            initial=0.0
        )
        speed = np.abs(now[:, 3:5] - before[:, 3:5]).max(initial=0.0)
        fastest = np.abs(now[:, 3:5]).max(initial=0.0) + 1.0
        return bool(
            place < PLACE_TOLERANCE
            and turn < ANGLE_TOLERANCE
            and speed < SPEED_TOLERANCE * fastest + 1.0
        )

    def motion(self, end: RunEnd, retries: int) -> Motion:
        """Make arrays of everything and reckon the books."""
        world, scene = self.world, self.world.scene
        times = np.array(self.times)
        count = len(times)
        bodies = np.frombuffer(b"".join(self._bodies)).reshape(count, -1, BODY_COLUMNS)[
            :, self._rows
        ]
        begins = self.begins if world.drives else 0
        has_hardly_turned = bool(world.drives) and (
            world.drives[0].turned - self._turned_at_begin < math.pi / 2
        )
        if end.kind == "standing" and has_hardly_turned:
            # stopped during the start-up or soon after it: the start is all there is to tell
            begins = 0
        scalars = np.array(self._scalars).reshape(count, -1)
        columns = iter(scalars.T)
        heat = {name: next(columns) for name in world.heat}
        work = {name: next(columns) for name in world.work}
        stored = [next(columns) for _ in world.stored]
        channels = {
            name: Channel(unit, next(columns), is_mean)
            for name, (unit, is_mean, _) in world.channels.items()
        }
        slips = {}
        for name, slip in world.slips.items():
            due, got, rubbed = next(columns), next(columns), next(columns)
            slips[name] = Slip(slip.driver, slip.driven, slip.radii, due, got, rubbed)
        steps = world.settings.steps_a_sample
        drives = []
        for drive in world.drives:
            turned, speed, due_speed, torque = (
                next(columns),
                next(columns),
                next(columns),
                next(columns),
            )
            ceiling = np.full(count, drive.ceiling)
            drives.append(
                Drive(
                    drive.name,
                    drive.shaft,
                    drive.sense,
                    turned,
                    speed,
                    due_speed,
                    torque / steps,
                    ceiling,
                    drive.radius,
                )
            )
        ledger = keep_books(
            bodies,
            [link.weight for link in world.links],
            heat,
            work,
            stored,
            _fall(world),
            world.settings.dt / 2,
        )
        stood = round(STANDSTILL_TIME / SAMPLE) if end.kind == "standing" else 0
        work_in = ledger.work_in or {"let go": _let_go(ledger.potential + ledger.spring)}
        residual = residual_percent(ledger.residual, work_in, begins, count - stood)
        ended: End = {
            "finished": "finished",
            "repeats": "repeats",
            "standing": "stalled",
            "not trusted": "not trusted",
        }[end.kind]  # type: ignore[assignment]
        is_ok = end.kind != "not trusted" and residual <= RESIDUAL_LIMIT
        trust = Trust(
            is_ok, world.settings.dt, world.settings.iterations, end.joint_error, residual, retries,
            sentence="" if is_ok else end.sentence if end.kind == "not trusted" else f"{residual:.1f} % of the work can't be accounted for",
        )  # fmt: skip
        return Motion(
            scene=scene,
            level=world.level,
            times=times,
            bodies=tuple(link.name for link in world.links),
            poses=self._poses(bodies),
            frames=dict(world.frames),
            begins=begins,
            channels=channels,
            contacts={
                name: self._contact(i, entry)
                for i, (name, entry) in enumerate(world.contacts.items())
            },
            slips=slips,
            ledger=ledger,
            drive=drives[0] if drives else None,
            trust=trust,
            end=ended,
            sentence=end.sentence,
            drives=tuple(drives),
            remarks=tuple(world.remarks),
        )

    def _poses(self, bodies: Floats) -> Floats:
        """From centres of mass to each body's own frame."""
        centres = np.array([link.centre for link in self.world.links]).reshape(-1, 2)
        angle = bodies[..., 2]
        c, s = np.cos(angle), np.sin(angle)
        x = bodies[..., 0] - c * centres[:, 0] + s * centres[:, 1]
        y = bodies[..., 1] - s * centres[:, 0] - c * centres[:, 1]
        return np.stack([x, y, angle], -1)

    def _contact(self, index: int, entry: Any) -> Contact:
        count = len(self.times)
        rows = np.array(self._contacts[index]).reshape(count, -1)
        unit = entry.unit
        if isinstance(unit, GuideContact):
            lips = rows[:, 3:7]
            total = lips.sum(1)
            places = np.array(unit.lips)
            share = lips / np.where(total > 0, total, 1.0)[:, None]
            point = np.where((total > 0)[:, None], share @ places, places.mean(0))
            across = np.tile([-math.sin(unit.direction), math.cos(unit.direction)], (count, 1))
            return Contact(
                entry.first, entry.second, entry.where, entry.kind, np.zeros(count), rows[:, 0], rows[:, 1], rows[:, 2], point, across,
                False, entry.coefficient, np.zeros((0, 2)), lips, places,
            )  # fmt: skip
        assert isinstance(unit, CurveContact)
        return Contact(
            entry.first, entry.second, entry.where, entry.kind, rows[:, 0], rows[:, 1], rows[:, 2], rows[:, 3], rows[:, 4:6], rows[:, 6:8],
            entry.is_meant, entry.coefficient, np.array(unit.hits).reshape(-1, 2),
        )  # fmt: skip


def _fall(world: World) -> Floats:
    """Weight's pull on each body: standard gravity, none for what lies flat."""
    falls = world.space.gravity[1] != 0
    return np.array([GRAVITY if falls and link.view != "top" else 0.0 for link in world.links])


def _let_go(stored: Floats) -> Floats:
    """What weight and springs had at most to give so far, where nothing drives; swings to and fro are not added up."""
    return np.asarray(np.maximum.accumulate(stored) - np.minimum.accumulate(stored))


def residual_percent(
    residual: Floats, work_in: Mapping[str, Floats], begins: int, ends: int | None = None
) -> float:
    """Largest unexplained energy from one sample to another, as a share of the work put in between them. [%]

    A piece that stands takes no work: its books are judged until it stopped.
    """
    if not work_in:
        return 0.0
    span = slice(begins, ends)
    put_in = sum(np.abs(np.diff(total[span])).sum() for total in work_in.values())
    left = np.abs(residual[span] - residual[begins]).max(initial=0.0)
    return float(100 * left / max(put_in, LEAST_WORK))
