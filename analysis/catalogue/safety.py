"""Signs that mean: do not ride.  One "yes" here outweighs every number."""
from __future__ import annotations

from analysis.catalogue.kinds import Question, Section


def _sign(name: str, title: str, help: str = "") -> Question:
    return Question(f"safety.{name}", title, "yes_no", help=help)


SAFETY = Section(
    "safety", "Safe to ride?", "Look before you touch. If any of these is so, we stop the tests and say what to do.",
    (
        _sign("oil_on_brake", "Is there oil on the disc, the pads or the tyre?"),
        _sign("crack_or_crease", "Is there a crack, crease or bulge in a tube, yoke, axle lug or the frame?"),
        _sign("bent_or_off_centre", "Is a tube or the axle bent, or are the bars not straight to the wheel?"),
        _sign("cap_damaged", "Is a fork cap loose, lifting, or its thread damaged?"),
        _sign("clamping_doubtful", "Is an axle, pinch or yoke bolt stripped, missing or of unknown tightness?"),
        _sign("head_bearing_play", "Do the head bearings have play or a notch?"),
        _sign("wheel_bearing_play", "Does a wheel bearing have play?"),
        _sign("stuck_down", "Does the fork stay stuck down?"),
        _sign("tyre_touches", "Does the tyre touch mudguard, radiator or exhaust at full stroke?"),
        _sign("brake_weak", "Is a brake weak or spongy?"),
        _sign("loose_parts_knock", "Is there a loud knock with parts loose inside the fork?"),
        _sign("shock_damaged", "Is the shock bulged, its rod bent, or a spring broken?"),
        _sign("over_rated_load", "Is the bike loaded beyond its rating?"),
        _sign("pressure_unknown", "Is there gas pressure in a sealed part that nobody has measured?"),
    ),
)
