r"""Cam outlines: a lift wanted at the follower in, the exact closed curve that gives it out.

How a cam lies in its own frame
-------------------------------
The cam's own frame is that of its shaft: origin on the axis, angle 0 when the drives are at 0. Three things are counted from there:

* ``sense`` is +1 when the shaft runs anticlockwise, -1 clockwise; ``turned`` [rad] is how far it has turned *in that direction*, so
  the frame stands at the angle ``sense * turned``.
* a follower slides along ``direction`` [rad], away from the axis; its line passes the axis at ``offset`` [mm], positive to the right of
  the direction.
* the *programme angle* is ``turned - phase``: with phase 0 the programme begins under the follower when the handle stands at 0, with
  phase 90 degrees when it has turned 90, whichever way the handle turns and whichever way the follower slides.

So programme angle ``a`` sits in the cam's frame on the ray of polar angle ``direction - sense * (a + phase)``::

         follower (direction up)            handle anticlockwise: the programme is laid out clockwise,
              |                             0 at the top, 90 degrees at the right;
         0 ___|___                          handle clockwise: the mirror image, 90 degrees at the left
          /       \
    270  |    o    |  90
          \_______/
             180

Eccentric and egg begin at their lowest: at programme angle 0 their centre or nose points straight away from the follower. A cam
with two followers is laid out for the first one in the scene; the other feels the same outline later or earlier.

A follower on a lever lifts its tip along an arc about the lever's pivot: ``direction`` is then that of the tip at its lowest, seen from the axis, and lifts
are along the arc.

Nothing heavy is imported before a curve is built; laws, lifts and reaches are plain floats.
"""

from animator.outlines.circles import POINT_COUNT, Circle, circles_of, hull_reach, swing_reach
from animator.outlines.curves import Curve
from animator.outlines.laws import LAWS, PI, TURN, Law, Rise
from animator.outlines.lifts import JOINS, FlowingLift, Lift, PoseLift, Stretch, joined, lift_of
from animator.outlines.profiles import (
    CORNER,
    CORNER_STEP,
    Groove,
    Outline,
    flat_profile,
    outline_of,
    roller_profile,
    smallest_radius,
    start_reach,
)
from animator.outlines.scenes import (
    first_follower,
    laid_out,
    laid_out_for,
    outline_in,
    stance_in,
    swing_of,
)
from animator.outlines.stances import (
    Stance,
    Swing,
    Tip,
    Way,
    face,
    flat_radius,
    lifting_side,
    pitch_radius,
    pressure_angle,
    seat_height,
    smallest_base,
    steepest,
    swing,
    tip_of,
    undercut,
)

__all__ = [
    "CORNER",
    "CORNER_STEP",
    "JOINS",
    "LAWS",
    "PI",
    "POINT_COUNT",
    "TURN",
    "Circle",
    "Curve",
    "FlowingLift",
    "Groove",
    "Law",
    "Lift",
    "Outline",
    "PoseLift",
    "Rise",
    "Stance",
    "Stretch",
    "Swing",
    "Tip",
    "Way",
    "circles_of",
    "face",
    "first_follower",
    "flat_profile",
    "flat_radius",
    "hull_reach",
    "joined",
    "laid_out",
    "laid_out_for",
    "lift_of",
    "lifting_side",
    "outline_in",
    "outline_of",
    "pitch_radius",
    "pressure_angle",
    "roller_profile",
    "seat_height",
    "smallest_base",
    "smallest_radius",
    "stance_in",
    "start_reach",
    "steepest",
    "swing",
    "swing_of",
    "swing_reach",
    "tip_of",
    "undercut",
]
