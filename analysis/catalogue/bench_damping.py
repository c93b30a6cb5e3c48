"""What a phone can measure of a bounce, and the sweep of an adjuster over its clicks."""
from __future__ import annotations

from typing import Any

from analysis.catalogue.kinds import BenchTest, Question, Spread, choices

_HEIGHT: dict[str, Any] = dict(unit="mm", possible=(0, 300), usual=(0, 120), spread=Spread(2))
_STROKE: dict[str, Any] = dict(unit="mm", possible=(0, 400), usual=(0, 320), spread=Spread(4))

TRACE_HELP = ("A film on your phone can be read off here, or put a list in: seconds and mm, one pair a line, such as "
              "0.25; 112. Any zero will do, but all of it from just before letting go until it rests.")

BOUNCE_ON_FILM = (
    Question("bench.rebound.pushed_mm", "On film: pushed how far below where it rests", **_HEIGHT, by_hand=True,
             help="Read on the tape: lowest point against where it comes to rest."),
    Question("bench.rebound.first_past_mm", "On film: rose how far past where it rests", **_HEIGHT, by_hand=True,
             help="0 where it does not swing past."),
    Question("bench.rebound.then_below_mm", "On film: then dipped how far below again", **_HEIGHT, by_hand=True),
    Question("bench.rebound.then_past_mm", "On film: then rose how far past again", **_HEIGHT, by_hand=True),
    Question("bench.rebound.half_swing_s", "On film: time from the lowest point to the next highest", unit="s",
             by_hand=True, possible=(0.03, 5), usual=(0.1, 1.2), spread=Spread(0.015),
             help="Frames between the two, divided by the frames a second in the camera's settings: 60 at 240 a second "
                  "are 0.25 s."),
    Question("bench.rebound.frames_per_s", "Frames a second the camera took", unit="", possible=(10, 2000),
             by_hand=True, usual=(24, 480), help="From the camera's settings, not from the playback."),
    Question("bench.rebound.trace", "The whole bounce, as time and position", "table", trace=True,
             help=TRACE_HELP),
    Question("bench.rebound.film", "Or the whole bounce, frame by frame", "text", by_hand=True,
             help="One line each: number of the frame, semicolon, shiny tube showing in mm. From just before letting "
                  "go until it rests, thirty lines or more."),
)

CLICKS = BenchTest(
    "clicks", "Compression clicks, from one end to the other",
    "Shows whether the adjuster does anything at all. Where a fork stays just as firm over all its clicks, something "
    "other than the damping holds it.", 15,
    ("The adjuster's key or screwdriver", "A zip tie on the shiny tube", "Pencil and paper"), ("helper",),
    "Turn with two fingers and never force: stop at the first light resistance. Nothing is opened. For the pushes as "
    "for the push test: a helper at the tail, nobody in front, not alone with a bike over 260 kg.",
    ("Count the clicks from where it stands until it is fully in. Write it down for each leg.",
     "Turn it fully out and count all clicks. Write that down too.",
     "Both legs fully in: hold the front brake, push hard and quickly once, read the tie. Three times; keep the "
     "middle one.",
     "The same halfway, and the same fully out. Push alike each time.",
     "Put every adjuster back to the clicks you wrote down first."),
    "clicks",
    (Question("bench.clicks.counted_from", "Where did you count the clicks from?", "choice", choices=choices(
        fully_in="From fully in", fully_out="From fully out", not_sure="I am not sure")),
     Question("bench.clicks.feel", "The adjuster itself", "choice", choices=choices(
         clicks="Clicks and stops at both ends", endless="Turns without end or without clicks", stuck="Does not turn",
         cannot_tell="I cannot tell")),
     Question("bench.clicks.stroke_in_mm", "Stroke of the quick push, fully in", **_STROKE),
     Question("bench.clicks.stroke_middle_mm", "Stroke of the quick push, halfway", **_STROKE),
     Question("bench.clicks.stroke_out_mm", "Stroke of the quick push, fully out", **_STROKE),
     Question("bench.clicks.difference", "The difference you feel", "choice", choices=choices(
         none="None", small="Small", clear="Clear", cannot_tell="I cannot tell"))),
)
