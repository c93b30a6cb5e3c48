"""What the pictured pages show: the demo cases, and work that a tuner and a shop have done on them."""
from __future__ import annotations

import os
import time
from functools import partial
from typing import Any

from deploy.trial import Trial

OPEN, ADVISED, STOPPED = "01-wall-after-the-oil-change", "04-sticks-after-the-wheel-was-out", "07-oil-on-the-brake"
JOB, WAITS = OPEN, "03-second-hand-springs"
BEGUN = ("complaint", "bike", "rider")
COLLEAGUE, COUNTER, PASSWORD = "colleague", "counter", "a-password-for-pictures-only"
SHOP = "Workshop by the canal"
SHEETS = (("Road bike, 41 mm, rod-damped", "from the papers", {"travel_mm": "140", "stanchion_diameter_mm": "41"}),
          ("Scrambler, 43 mm", "measured on our bench", {"travel_mm": "150", "stanchion_diameter_mm": "43"}))


def prepare(trial: Trial) -> tuple[dict[str, Any], list[str]]:
    """Make it all; return what the addresses name, and private links to the rider's cases."""
    os.environ["FARBENCH_DATA"], os.environ["SITE_URL"] = str(trial.folder), trial.site
    os.environ["DJANGO_SETTINGS_MODULE"] = "deploy.settings"
    import django

    django.setup()
    from django.contrib.auth import get_user_model

    from intake import services

    tuner = get_user_model().objects.get(username=trial.name)
    cases = {"advised": _advised(tuner), "open": _open(tuner), "stopped": _drafted(STOPPED), "collecting": _begun(),
             "spoken": _told_in_words()}
    links = [services.new_link(case=cases[name]) for name in ("advised", "collecting")]
    colleague()
    return {name: case.number for name, case in cases.items()} | shelf(tuner) | shop(tuner), links


def _documents() -> dict[str, dict[str, Any]]:
    from deploy import demo

    return demo.documents()


def _drafted(name: str) -> Any:
    from intake.models import Case

    return Case.objects.get(title=_documents()[name]["title"])


def _advised(tuner: Any) -> Any:
    case = _drafted(ADVISED)
    _approve(case, tuner)
    return case


def _open(tuner: Any) -> Any:
    """A case that a tuner works on: a word changed in its letter, a fee, a saved view, words of one's own."""
    from reports import services
    from reports.models import Letter

    case = _drafted(OPEN)
    letter = Letter.objects.get(round__case=case)
    block = services.blocks_of(letter=letter)[0]
    services.edit_blocks(letter=letter, based_on_version=letter.version, user=tuner,
                         texts={block["name"]: block["text"] + "\n\nWrite to me first if anything looks different."})
    services.quote_fee(case=case, amount="60", currency="EUR", covers="This letter and two further rounds.", user=tuner)
    services.save_view(user=tuner, name="Stops first", query={"stop": "1"})
    services.save_own_words(user=tuner, name="Thanks", text="Thank you, {rider}. Nothing else is to be changed yet.")
    return case


def _told_in_words() -> Any:
    """A case whose rider's own words speak of a danger that no answer tells."""
    from deploy import demo

    told = _documents()[WAITS]
    told["title"], told["complaint"]["words"] = "Enduro, dives and pulls", "It dives. The front brake feels soft since."
    case = demo.hand_in("told-in-words", told)
    demo.wait_until_drafted([case])
    return case


def _begun() -> Any:
    from deploy import demo
    from intake import services

    case = services.start_case(title="Scrambler, rides high")
    demo.answer(case.current_round, {name: _documents()[OPEN][name] for name in BEGUN})
    return case


def colleague() -> None:
    """A second tuner, whose sign-in asks for a code."""
    from django.contrib.auth import get_user_model

    from reports import services
    from reports.services.second_factor import secret_of
    from reports.totp import STEP, code_at

    user = get_user_model().objects.create_user(COLLEAGUE, password=PASSWORD, is_staff=True)
    secret = secret_of(services.begin_factor(user=user).next_salt)
    services.confirm_factor(user=user, code=code_at(secret, int(time.time() // STEP)))


def shelf(tuner: Any) -> dict[str, Any]:
    """Two data sheets, one of them in two versions."""
    from reports import services

    made = [services.keep_sheet(user=tuner, kind="fork", name=name, note=note, typed=typed)
            for name, note, typed in SHEETS]
    first = made[0].sheet
    services.keep_sheet(user=tuner, kind="fork", name=SHEETS[0][0], note=SHEETS[0][1], sheet=first, based_on=1,
                        typed=SHEETS[0][2] | {"spring_rates_n_per_mm": "7.5 8.0 8.5"})
    return {"sheet": first.pk}


def shop(tuner: Any) -> dict[str, Any]:
    """A shop with a job that is drafted and sent, one that waits for it, a table, and an address to be told at."""
    from deploy import demo
    from intake import services
    from intake.models import Shop
    from reports import services as reports

    services.new_shop_token(shop_name=SHOP, name="front desk")
    own, documents = Shop.objects.get(name=SHOP), _documents()
    _sign_in_for(own)
    forward = partial(services.hand_in_job, shop=own, rider_email="", rider_name="the customer with the blue helmet")
    job, _ = forward(job="J-2041", document=documents[JOB] | {"title": "Rock hard since its oil change"})
    waits, _ = forward(job="J-2044", document=documents[WAITS] | {"title": "Springs without papers"}, hand_in_now=False)
    demo.wait_until_drafted([job])
    _approve(job, tuner)
    table = services.check_table(shop=own, data=_table(), name="monday.csv", who=COUNTER)
    reports.add_hook(shop=own, address="https://workshop.example/farbench", events=["letter approved"])
    return {"job": job.number, "waits": waits.number, "table": table.pk}


def _sign_in_for(shop: Any) -> None:
    from django.contrib.auth import get_user_model

    from intake import services

    services.new_shop_user(shop=shop, username=COUNTER)
    user = get_user_model().objects.get(username=COUNTER)
    user.set_password(PASSWORD)
    user.save()


def _approve(case: Any, tuner: Any) -> None:
    from reports import services
    from reports.models import Letter

    letter = Letter.objects.get(round__case=case)
    services.approve(letter=letter, version=letter.version, user=tuner)


def _table() -> bytes:
    """Two jobs and one with a mass that is no number."""
    lines = ["job,complaint.words,bike.kind,bike.mass_kg,fork.left.oil_level_mm", "J-2050,Dives a lot,road,210,150",
             "J-2051,Hard over kerbs,road,very heavy,95", "J-2052,Knocks when it comes up,touring,260,unknown"]
    return "\n".join(lines).encode()
