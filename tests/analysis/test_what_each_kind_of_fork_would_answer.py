"""What a sound fork and each kind of trouble would answer, in percent: common practice, no source."""
from __future__ import annotations

import numpy as np
import pytest

from analysis.observations import ANSWERS
from tests.analysis.one_bike import KINDS

ANSWERED = {entry.path: entry for entry in ANSWERS}
TOLD = {
    "bench.travel.end_feel": {
        "sound": "clank 2, stops dead 5, stiffer 44, still moving 53",
        "solid": "clank 2, stops dead 101, stiffer 2, still moving 0.4",
        "stiff end": "clank 2, stops dead 38, stiffer 48, still moving 15",
        "metal": "clank 32, stops dead 30, stiffer 19, still moving 23",
        "short": "clank 72, stops dead 30, stiffer 0.9, still moving 1",
    },
    "bench.travel.repeats": {
        "sound": "same 22, differ 18, between 44",
        "sticky": "same 22, differ 53, between 44",
        "dragging": "same 22, differ 37, between 44",
        "solid": "same 90, differ 4, between 14",
        "stiff end": "same 46, differ 13, between 33",
        "metal": "same 61, differ 10, between 27",
        "short": "same 89, differ 4, between 14",
        "loose": "same 22, differ 17, between 44",
    },
    "bench.push.end_feel": {
        "sound": "clank 1, stops dead 4, hard to start 5, sticks 7, stiffer 46, keeps going 45",
        "sticky": "clank 1, stops dead 4, hard to start 45, sticks 87, stiffer 13, keeps going 13",
        "dragging": "clank 1, stops dead 4, hard to start 26, sticks 50, stiffer 26, keeps going 26",
        "solid": "clank 1, stops dead 101, hard to start 2, sticks 2, stiffer 1, keeps going 0.4",
        "stiff end": "clank 1, stops dead 38, hard to start 4, sticks 5, stiffer 46, keeps going 14",
        "metal": "clank 31, stops dead 29, hard to start 3, sticks 4, stiffer 20, keeps going 19",
        "short": "clank 71, stops dead 29, hard to start 2, sticks 2, stiffer 1.0, keeps going 0.9",
        "held": "clank 1, stops dead 4, hard to start 5, sticks 7, stiffer 58, keeps going 34",
        "half held": "clank 1, stops dead 4, hard to start 5, sticks 7, stiffer 52, keeps going 39",
        "loose": "clank 1, stops dead 4, hard to start 5, sticks 7, stiffer 46, keeps going 46",
        "topped out": "clank 1, stops dead 4, hard to start 84, sticks 7, stiffer 19, keeps going 19",
        "pushes little": "clank 1, stops dead 4, hard to start 5, sticks 7, stiffer 60, keeps going 31",
        "pushes hardly": "clank 1, stops dead 4, hard to start 5, sticks 7, stiffer 69, keeps going 22",
    },
    "bench.push.rear_wheel": {
        "sound": "lifts 7, goes light 17, stays down 75",
        "solid": "lifts 22, goes light 17, stays down 61",
        "stiff end": "lifts 13, goes light 17, stays down 70",
        "metal": "lifts 11, goes light 17, stays down 72",
        "pushes little": "lifts 34, goes light 31, stays down 35",
        "pushes hardly": "lifts 46, goes light 38, stays down 16",
    },
    "bench.push.came_back": {
        "sound": "yes 82, slowly 12, part way 6, no 1",
        "sticky": "yes 32, slowly 24, part way 44, no 5",
        "dragging": "yes 55, slowly 19, part way 26, no 4",
        "held": "yes 82, slowly 24, part way 6, no 1",
        "half held": "yes 82, slowly 18, part way 6, no 1",
        "loose": "yes 82, slowly 11, part way 6, no 1",
    },
    "bench.preload.stop": {
        "sound": "stayed 13, moved deeper 32, no stop 74",
        "sticky": "stayed 13, moved deeper 42, no stop 65",
        "dragging": "stayed 13, moved deeper 38, no stop 69",
        "solid": "stayed 95, moved deeper 7, no stop 5",
        "stiff end": "stayed 41, moved deeper 23, no stop 50",
        "metal": "stayed 59, moved deeper 17, no stop 35",
        "short": "stayed 93, moved deeper 7, no stop 5",
        "topped out": "stayed 13, moved deeper 51, no stop 55",
    },
    "bench.rebound.rest": {
        "sound": "same height 89, short 11",
        "sticky": "same height 39, short 61",
        "dragging": "same height 62, short 38",
    },
    "bench.alignment.result": {
        "sound": "freed 5, foot moved 7, no change 88",
        "sticky": "freed 34, foot moved 25, no change 41",
        "dragging": "freed 20, foot moved 17, no change 62",
        "bent": "freed 3, foot moved 7, no change 90",
        "bent and sticky": "freed 3, foot moved 16, no change 81",
    },
    "bench.look.tubes_parallel": {
        "sound": "parallel 95, twisted 5",
        "sticky": "parallel 77, twisted 23",
        "dragging": "parallel 85, twisted 15",
        "bent": "parallel 36, twisted 64",
    },
    "bench.bottoming.reached": {
        "sound": "untouched 93, reached 1, past 1, part way 10",
        "short": "untouched 101, reached 1, past 1, part way 2",
        "deep": "untouched 1, reached 70, past 7, part way 29",
        "to the mark": "untouched 1, reached 79, past 13, part way 14",
        "past the mark": "untouched 1, reached 13, past 89, part way 2",
        "near the mark": "untouched 4, reached 4, past 1, part way 96",
        "unused": "untouched 99, reached 1, past 1, part way 4",
    },
    "bench.top_out.side": {
        "sound": "both 74, left 12, right 13",
        "worn damper": "both 35, left 32, right 33",
        "legs apart": "both 40, left 30, right 31",
        "legs a little apart": "both 55, left 22, right 23",
    },
    "bench.rebound.swings": {
        "sound": "none 9, two or more 3, one small 92",
        "sticky": "none 66, two or more 2, one small 36",
        "dragging": "none 32, two or more 3, one small 70",
        "springy": "none 2, two or more 83, one small 19",
        "slow": "none 96, two or more 2, one small 6",
    },
    "bench.clicks.difference": {
        "sound": "clear 22, none 18, small 45",
        "solid": "clear 22, none 80, small 25",
        "stiff end": "clear 22, none 42, small 40",
        "held": "clear 70, none 18, small 27",
        "half held": "clear 54, none 18, small 33",
        "loose": "clear 13, none 18, small 49",
        "worn damper": "clear 10, none 80, small 25",
    },
    "bench.clicks.feel": {
        "sound": "clicks 95, endless 3, stuck 2",
        "worn damper": "clicks 60, endless 28, stuck 12",
    },
    "bench.look.oil_on_tube": {
        "sound": "none 83, film 15, ring 1, drops 0.3",
        "leaks": "none 3, film 12, ring 56, drops 25",
    },
    "bench.top_out.feel": {
        "sound": "knock 3, firm 14, soft 82",
        "springy": "knock 32, firm 10, soft 58",
        "slow": "knock 3, firm 15, soft 82",
        "topped out": "knock 3, firm 47, soft 50",
        "tops out": "knock 78, firm 3, soft 18",
    },
    "bench.warmth.change": {
        "sound": "freer 16, earlier stop 4, looser 5, no change 58",
        "solid": "freer 16, earlier stop 43, looser 5, no change 35",
        "stiff end": "freer 16, earlier stop 17, looser 5, no change 52",
        "held": "freer 60, earlier stop 4, looser 5, no change 38",
        "half held": "freer 40, earlier stop 4, looser 5, no change 48",
        "loose": "freer 13, earlier stop 4, looser 5, no change 59",
        "worn damper": "freer 16, earlier stop 4, looser 55, no change 35",
    },
    "bench.cap.air": {
        "sound": "hissed out 8, nothing 88, sucked in 7",
        "pressed": "hissed out 89, nothing 7, sucked in 1",
        "just pressed": "hissed out 48, nothing 48, sucked in 4",
    },
    "bench.twins.result": {
        "sound": "alike 81, one drags 7, one returns slowly 3, one squelches 3, one is shorter 2, "
                 "changes as it turns 1",
        "sticky": "alike 42, one drags 45, one returns slowly 3, one squelches 3, one is shorter 2, "
                  "changes as it turns 1",
        "dragging": "alike 60, one drags 28, one returns slowly 3, one squelches 3, one is shorter 2, "
                    "changes as it turns 1",
        "short": "alike 4, one drags 7, one returns slowly 3, one squelches 3, one is shorter 82, "
                 "changes as it turns 1",
        "a little short": "alike 26, one drags 7, one returns slowly 3, one squelches 3, one is shorter 60, "
                          "changes as it turns 1",
        "worn damper": "alike 4, one drags 7, one returns slowly 33, one squelches 38, one is shorter 2, "
                       "changes as it turns 1",
        "bent": "alike 4, one drags 5, one returns slowly 3, one squelches 3, one is shorter 2, changes as it turns 61",
        "own work": "alike 81, one drags 52, one returns slowly 30, one squelches 3, one is shorter 2, "
                    "changes as it turns 1",
    },
    "bench.run_out.result": {
        "sound": "within 96, over 4",
        "bent": "within 22, over 78",
    },
    "bench.springs_measured.pair": {
        "sound": "alike 90, differ 8, polished 2",
        "binds": "alike 60, differ 18, polished 47",
    },
    "bench.rolling.tyre": {
        "sound": "as in papers 89, off 11, worn 5",
        "soft tyre": "as in papers 16, off 75, worn 9",
        "a little soft tyre": "as in papers 48, off 48, worn 8",
    },
    "bench.rolling.steering": {
        "sound": "freely 96, stiffly 4",
        "rolling fault": "freely 56, stiffly 44",
    },
    "bench.rear_bounce.signs": {
        "sound": "nothing 93, oil 4, scored 2, bulge 1",
        "rear worn": "nothing 43, oil 39, scored 12, bulge 6",
    },
    "bench.rear_bounce.swings": {
        "sound": "none 35, one small 55, two or more 10",
        "rear worn": "none 15, one small 25, two or more 60",
    },
    "bench.rear_bounce.sinks": {
        "sound": "sinks 90, jumps 6, hardly 4",
        "rear stuck": "sinks 20, jumps 46, hardly 34",
    },
    "bench.rear_play.feel": {
        "sound": "free 90, rough 8, stuck 2",
        "rear stuck": "free 15, rough 58, stuck 27",
    },
    "bench.rear_sag.sinks": {
        "sound": "stays 95, sinks 5",
        "rear worn": "stays 50, sinks 50",
    },
}


def test_every_answer_that_says_something_is_told() -> None:
    assert set(TOLD) == set(ANSWERED)


@pytest.mark.parametrize(("path", "kind"), [(path, kind) for path, kinds in TOLD.items() for kind in kinds])
def test_each_kind_of_fork_answers_as_it_does_in_practice(path: str, kind: str) -> None:
    told = {name: float(share) for name, share in (part.rsplit(" ", 1) for part in TOLD[path][kind].split(", "))}
    weights = ANSWERED[path].weights(KINDS[kind])
    assert {name: 100 * np.asarray(weight).item() for name, weight in weights.items()} == pytest.approx(told, abs=0.6)
