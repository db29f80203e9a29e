"""From when on something is worth telling: every threshold of the findings, with its reason. Lengths [mm], times [s], angles [rad], shares [1]."""

from __future__ import annotations

import math

FELT_TIME = 5e-3  # a hand doesn't feel shorter knocks; forces and torques are means over this
LANDING_TIME = 1e-2  # the force of a landing depends on the step of the reckoning, so forces leave this much after one out; its speed tells

SLIP_SHARE = 0.01  # of what is due over a turn; a belt that loses less passes for a positive drive on a stall

FLOAT_GAP = 0.05  # the thickness of a sheet of paper: less can't be seen or heard, and the margin of the exact contact is 0.02
FLOAT_TIME = 2e-3  # shorter hops are the rattle of a roller on its play
# A stem that rocks over in its guide lifts its roller by about half the clearance without flying, so a float is also larger than that.
ROCKING_SHARE = 0.5

STANDSTILL_SHARE = 0.01  # of the due speed; slower than the eye follows
STANDSTILL_TIME = 0.3  # shorter than a hand's patience, longer than any rattle
STOPPING_TIME = 0.1  # in which a piece that will wedge comes to a stop; forces then rise steeply, and a step more or less tells
CEILING_SHARE = 0.9  # of what the drive can give; it pushes as hard as it can
WEDGE_SHARE = 0.5  # of guide and load together: the rubbing in the guide takes more of the push than the load does
WEDGE_LEAST = 0.25  # of the whole push; below this something else holds it
CONFIRM_ITERATIONS = (
    300  # a strong push creeps through a wedge that the solver holds too loosely
)
CONFIRM_STRENGTH = 3.0  # nobody leans three times as hard on a toy
CONFIRM_ANGLE = math.radians(0.5)  # a jam found twice stands in the same place

JERK_SWING = 0.5  # of the mean speed, up or down; less looks like breathing, more like a fault
JERK_STANDING = 0.05  # of the time; a turning figure that stops shows it
JERK_SHOCK = 0.2  # change of speed within SHOCK_TIME, of the peak speed; a figure on it nods
SHOCK_TIME = 5e-3
RUNNING_SHARE = 0.02  # of a turn for each turn of the main shaft; what turns less isn't running at all, and another finding says why

SLACK_SHARE = (
    0.05  # of the time; a belt or spring that hangs loose for longer flaps and falls off
)
SLACK_LENGTH = 0.05  # looser than a sheet of paper is thick

STRAIN_SHARE = 1.0  # of what a spring or band bears again and again (parts/_springs.py, parts/rubber_band.py tell what that is)

BUCKLE_BOW = 0.3  # a wire cut and bent by hand is no straighter; past its load it is soon many times that

SEAM_PLACE = 0.3  # a jump at the join of a loop that the eye catches at a table's distance
SEAM_ANGLE = math.radians(0.5)

TRUST_VERIFY = 1.0  # %; at half the step no measure may change by more
# A change this small is no doubt about a measure, however large a share of it: nobody can cut, see or feel it.
RESOLUTION = {
    "length": 0.005,
    "angle": math.radians(0.05),
    "turning speed": 0.05 * math.tau / 60,
    "speed": 1.0,
    "force": 0.005e6,  # half a gram's weight
    "torque": 0.2e6,  # the same at a knob
    "share": 0.001,
    "time": 1e-3,
    "count": 0.5,
}
