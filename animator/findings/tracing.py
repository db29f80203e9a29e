"""Everything recorded against time, in a maker's units: what ``trace`` writes."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from animator.findings import measures
from animator.motion.looping import main_angle
from animator.motion.motion import Floats, Motion
from animator.units import UNITS

SHOWN = {"angle": "deg", "torque": "N mm", "state": "", "count": ""}
JOULE = 1e9  # g mm^2/s^2


def columns(motion: Motion) -> Mapping[str, Floats]:
    """Give every recorded quantity over the whole run, start-up and all: name with unit in brackets -> (time_count,) values.

    Time and the main shaft's angle come first, then the measures, then the places of all that moves, the contacts, what drives gave and where the energy went.
    """
    table: dict[str, Floats] = {
        "time [s]": motion.times,
        "main shaft [deg]": np.degrees(main_angle(motion)),
    }
    table.update(measures.columns(motion))
    for part in motion.scene.parts:
        if motion.frames.get(part, (-1, None))[0] >= 0:
            x, y, angle = motion.frame(part).T
            table |= {
                f"{part}.x [mm]": x,
                f"{part}.y [mm]": y,
                f"{part}.angle [deg]": np.degrees(angle),
            }
    for name, channel in motion.channels.items():
        unit = (
            SHOWN.get(channel.unit)
            if channel.unit in SHOWN
            else next(iter(UNITS.get(channel.unit, {"": 1.0})), "")
        )
        scale = UNITS.get(channel.unit, {}).get(unit or "", 1.0)
        table.setdefault(f"{name} [{unit}]" if unit else name, channel.values / scale)
    for contact in motion.contacts.values():
        # several touches in one place (a roller in a hollow, wheels of pins) are one column: forces together, the least gap
        for what, values, join in (
            ("force [N]", contact.normal / 1e6, np.add),
            ("friction [N]", contact.friction / 1e6, np.add),
            ("rubbing [mm/s]", contact.sliding, np.maximum),
            ("gap [mm]", contact.gap, np.minimum),
        ):
            key = f"{contact.where}: {what}"
            if what != "gap [mm]" or contact.kind != "guide":
                table[key] = join(table[key], values) if key in table else values
    for name, slip in motion.slips.items():
        table |= {
            f"{name}.due [mm]": slip.due,
            f"{name}.got [mm]": slip.got,
            f"{name}.rubbed [mm]": slip.rubbed,
        }
    for drive in motion.drives:
        table[f"{drive.name}.due speed [rpm]"] = drive.due_speed / UNITS["turning speed"]["rpm"]
    ledger = motion.ledger
    table |= {f"work of {name} [J]": total / JOULE for name, total in ledger.work_in.items()}
    table |= {f"heat, {place} [J]": total / JOULE for place, total in ledger.heat.items()}
    table |= {
        "moving [J]": ledger.kinetic / JOULE,
        "lifted [J]": ledger.potential / JOULE,
        "in springs [J]": ledger.spring / JOULE,
        "not accounted for [J]": ledger.residual / JOULE,
    }
    return table
