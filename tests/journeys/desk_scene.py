"""Cases that one journey has for itself, made through the services: ``python -m tests.journeys.desk_scene TUNER WHAT``.

A program of its own, since it writes into the running installation's database.  Prints what it made as JSON.
"""
from __future__ import annotations

import json
import sys
from datetime import timedelta
from pathlib import Path
from typing import Any

from deploy.trial import Trial
from tests.journeys import scene

COLLEAGUE, PASSWORD = "second-tuner", "a-password-for-journeys-only"
NEWCOMER = "third-tuner"
MORNING = {
    "red flag": "07-oil-on-the-brake", "overdue": "02-longer-spacers", "answered": "05-hardly-anything-known",
    "tried": "03-second-hand-springs", "from a shop": "06-clank-and-unused-travel",
    "first new": "08-nothing-wrong", "second new": "04-sticks-after-the-wheel-was-out",
    "third new": "01-wall-after-the-oil-change", "fourth new": "02-longer-spacers", "fifth new": "08-nothing-wrong",
}
"""What waits in the morning, in the order in which it should be done; of each the demo document it is made of."""


def made(trial: Trial, *what: str) -> Any:
    """Make what is named, in one program, and return of each what a journey needs to know."""
    return scene.told_by(trial, __name__, trial.name, *what)


def title(kind: str) -> str:
    """Return the title of a case of the morning."""
    return f"This morning, {kind}"


def email(kind: str) -> str:
    """Return its rider's address."""
    return f"{kind.replace(' ', '-')}@morning.example"


def _morning(tuner: Any) -> dict[str, str]:
    """The newest first, so that their order in the queue is not that of their coming in."""
    from django.utils import timezone

    from intake import services
    from intake.models import Case
    from intake.states import rank_anew

    tried = _handed_in("tried")
    _approved_and_tried(tried, tuner)
    cases = {kind: tried if kind == "tried" else _handed_in(kind) for kind in reversed(MORNING)}
    answered = cases["answered"]
    services.ask_rider(case=answered, question="How old is the oil?", path="service", user=tuner)
    services.save_answers(round=answered.current_round, answers={"service.when": "Two summers ago"})
    services.hand_in(round=answered.current_round, who="rider")
    _wait(list(cases.values()))
    for position, kind in enumerate(reversed(MORNING)):
        hours = 30.0 if kind == "overdue" else 1 + position / 60
        Case.objects.filter(pk=cases[kind].pk).update(turn_since=timezone.now() - timedelta(hours=hours))
        rank_anew(cases[kind])
    return {kind: case.number for kind, case in cases.items()}


def _handed_in(kind: str, name: str = "") -> Any:
    from deploy import demo
    from intake import services

    document = {**demo.documents()[name or MORNING[kind]], "title": title(kind)}
    if kind == "from a shop":
        return services.hand_in_job(shop=_shop("Shop of the morning"), job="M-1", document=document,
                                    rider_email=email(kind), rider_name="")[0]
    case = services.start_case(rider_email=email(kind), title=title(kind))
    demo.answer(case.current_round, document)
    services.hand_in(round=case.current_round, who="rider")
    return case


def _approved_and_tried(case: Any, tuner: Any) -> None:
    from intake import services
    from reports import services as letters
    from reports.models import Letter

    _wait([case])
    letter = Letter.objects.get(round__case=case)
    letters.approve(letter=letter, version=letter.version, user=tuner)
    letters.queue_delivery(letter=letter, to=email("tried"))
    case.refresh_from_db()
    opened = services.open_next_round(case=case, who="rider")
    services.save_answers(round=opened, answers={"bench.travel.used_mm": "120"})
    services.hand_in(round=opened, who="rider")


def _letter(_tuner: Any) -> str:
    case = _handed_in("a letter", "01-wall-after-the-oil-change")
    _wait([case])
    return str(case.number)


def _shops(_tuner: Any) -> dict[str, str]:
    """A shop with a sign-in, and another one with a job of its own."""
    from deploy import demo
    from intake import services

    own, other = (_shop(name) for name in ("Shop of the table", "Shop next door"))
    case, _ = services.hand_in_job(shop=other, job="N-1", document=demo.documents()["08-nothing-wrong"],
                                   rider_email="", rider_name="")
    return {"name": "table-shop", "password": services.new_shop_user(shop=own, username="table-shop"),
            "other": case.number}


def _shop(name: str) -> Any:
    from intake import services
    from intake.models import Shop

    services.new_shop_token(shop_name=name, name="counter")
    return Shop.objects.get(name=name)


def _colleague(_tuner: Any) -> list[str]:
    from django.contrib.auth import get_user_model

    users = get_user_model().objects
    if not users.filter(username=COLLEAGUE).exists():
        users.create_user(COLLEAGUE, password=PASSWORD, is_staff=True)
    return [COLLEAGUE, PASSWORD]


def _everywhere(tuner: Any) -> dict[str, str]:
    """A shelf, a shop's counter with something of everything, and two tuners for the second factor's pages."""
    from django.contrib.auth import get_user_model

    from deploy import picture_scene
    from reports import services

    services.save_own_words(user=tuner, name="Thanks", text="Thank you, {rider}.")
    services.save_view(user=tuner, name="Stops first", query={"stop": "1"})
    picture_scene.colleague()
    get_user_model().objects.create_user(NEWCOMER, password=PASSWORD, is_staff=True)
    picture_scene.shelf(tuner)
    return picture_scene.shop(tuner)


def _wait(cases: list[Any]) -> None:
    from deploy import demo

    _, left = demo.wait_until_drafted(cases)
    assert not left, f"{left} cases without a draft"
    for case in cases:
        case.refresh_from_db()


def _main(tuner_name: str, *wanted: str) -> None:
    import django

    django.setup()
    from django.contrib.auth import get_user_model

    makers = {"morning": _morning, "letter": _letter, "shops": _shops, "colleague": _colleague,
              "everywhere": _everywhere}
    tuner = get_user_model().objects.get(username=tuner_name)
    Path("/dev/stdout").write_text(json.dumps([makers[what](tuner) for what in wanted]))


if __name__ == "__main__":
    _main(*sys.argv[1:])
