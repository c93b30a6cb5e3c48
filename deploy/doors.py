"""The three doors: a sign-in for the tuner, a token for the shop, the address for the rider."""
from __future__ import annotations

from pathlib import Path

from django.conf import settings
from django.contrib.auth import get_user_model
from django.db import transaction
from django.urls import reverse

from intake.models import ShopToken
from intake.services.shops import new_shop_token
from reports.services.tuners import leads, make_lead, new_tuner

TUNER = "tuner"
SHOP = "First shop"


def tuner_password() -> str | None:
    """Make the first tuner's sign-in and return its password; None where there is a tuner already.

    Where nobody leads the tuners, who has been there longest does from now on.
    """
    tuners = get_user_model().objects.filter(is_staff=True)
    with transaction.atomic():
        if not tuners.exists():
            return new_tuner(username=TUNER, lead=True)
        longest = tuners.filter(is_active=True).order_by("pk")
        if not any(leads(user=one) for one in longest) and (first := longest.first()) is not None:
            make_lead(user=first)
    return None


def first_shop_token() -> str | None:
    """Make the first shop with a token and return it; None where there is a token already."""
    with transaction.atomic():
        if ShopToken.objects.exists():
            return None
        return new_shop_token(shop_name=SHOP, name="made at the first start")


def words(site: str) -> str:
    """Say where the doors are; secrets that were made just now are shown this once."""
    password, token = tuner_password(), first_shop_token()
    lines = [
        "",
        "Farbench is running. Ctrl-C stops it.",
        f"  Rider  {site}{reverse('home')}",
        f"  Tuner  {site}{reverse('queue')}",
        f"         {_sign_in(password)}",
        f"  Shop   {site}{reverse('api-docs')}",
        f"         {_shop(token)}",
    ]
    if settings.EMAIL_BACKEND.endswith("filebased.EmailBackend"):
        lines.append(f"  Mail   is written to {_short(Path(settings.EMAIL_FILE_PATH))} (set EMAIL_URL to send it)")
    return "\n".join([*lines, ""])


def _sign_in(password: str | None) -> str:
    if password:
        return f"name {TUNER}, password {password}   (shown this once; keep it)"
    return f"sign in as before (a new password: .venv/bin/python manage.py changepassword {TUNER})"


def _shop(token: str | None) -> str:
    if token:
        return f"token {token}   (shown this once; keep it)"
    return "the token was shown at the first start (a new one: .venv/bin/python manage.py shop-token NAME)"


def _short(path: Path) -> str:
    return str(path.relative_to(settings.BASE_DIR)) if path.is_relative_to(settings.BASE_DIR) else str(path)
