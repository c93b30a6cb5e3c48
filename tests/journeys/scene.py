"""Cases in every state for a running installation; run as a program of its own, since it writes into its database.

Prints {what the case shows: [its number, a private link's token]} as JSON.
"""
from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

from deploy.trial import BASE, Trial

CLASSIC = "01-wall-after-the-oil-change"


def prepared(trial: Trial) -> dict[str, list[str]]:
    """Make the cases in a process that knows the installation's database; return their numbers and tokens."""
    return dict(told_by(trial, __name__, trial.name))


def told_by(trial: Trial, module: str, *words: str) -> Any:
    """Run a module as a program on the installation's database and return what it prints as JSON."""
    settings = {"FARBENCH_DATA": str(trial.folder), "SITE_URL": trial.site, "DJANGO_SETTINGS_MODULE": "deploy.settings"}
    kept = {name: value for name, value in os.environ.items() if name not in ("DATABASE_URL", "REDIS_URL")}
    made = subprocess.run([sys.executable, "-m", module, *words], cwd=BASE, check=True, text=True,
                          env=kept | settings, stdout=subprocess.PIPE)
    return json.loads(made.stdout)


def _cases(tuner_name: str) -> dict[str, list[str]]:
    import django

    django.setup()
    from django.contrib.auth import get_user_model

    from deploy import demo
    from intake import services
    from intake.models import Case
    from reports import services as letters
    from reports.models import Letter

    tuner = get_user_model().objects.get(username=tuner_name)
    documents = demo.documents()
    part = {name: documents[CLASSIC][name] for name in ("complaint", "bike", "rider")}

    def started(title: str, **answers: object) -> Case:
        case = services.start_case(title=title, rider_email="scene@example.org")
        demo.answer(case.current_round, {**part, **answers})
        return case

    def drafted(name: str) -> Case:
        return Case.objects.get(title=documents[name]["title"])

    advised, asked, closed = (drafted(name) for name in (CLASSIC, "05-hardly-anything-known", "08-nothing-wrong"))
    again, once = drafted("02-longer-spacers"), drafted("04-sticks-after-the-wheel-was-out")
    for case in (advised, closed, again, once):
        letter = Letter.objects.get(round__case=case)
        letters.approve(letter=letter, version=letter.version, user=tuner)
        letters.queue_delivery(letter=letter, to="scene@example.org")
    services.ask_rider(case=asked, question="How much oil went into each leg?", path="legs", user=tuner)
    services.close_case(case=closed, outcome="nothing wrong or measured badly", proof="ridden", words="", user=tuner)
    services.open_next_round(case=again, who="rider")
    withdrawn = started("Withdrawn")
    services.withdraw(case=withdrawn)
    cases = {
        "half answered": started("Half answered, with slips", rider={"mass_kg": "heavy"},
                                 fork={"travel_mm": "5.5", "left": {"bore_diameter_mm": "45"}}),
        "stopped": started("Oil on the brake", safety={"oil_on_brake": True}),
        "workshop only": drafted("07-oil-on-the-brake"), "ready": drafted("03-second-hand-springs"),
        "advised": advised, "advised once": once, "asked": asked, "closed": closed, "next round": again,
        "withdrawn": withdrawn,
    }
    return {what: [case.number, services.new_link(case=case)] for what, case in cases.items()}


if __name__ == "__main__":
    Path("/dev/stdout").write_text(json.dumps(_cases(sys.argv[1])))
