"""The desk: who the tuners are, for whoever leads them; one is let in here, and one's sign-in switched off."""
from __future__ import annotations

from dataclasses import dataclass

from django.contrib import messages
from django.contrib.auth import get_user_model
from django.contrib.auth.models import AbstractUser
from django.db.models import Count
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from intake.errors import Refused
from intake.models import Case
from intake.shown_once import salt_of_page
from reports.desk_sign_in import lead_tuner
from reports.models import SecondFactor
from reports.services import tuners

CONFLICT = 409
SHOWN = 200


@dataclass(frozen=True)
class Person:
    """A tuner as the lead sees them."""

    user: AbstractUser
    leads: bool
    second_factor: bool
    holds: int
    """Cases that are theirs alone at this moment."""


@lead_tuner
@require_http_methods(["GET", "HEAD", "POST"])
def people(request: HttpRequest) -> HttpResponse:
    """List the tuners; make a sign-in for one more.  Its password is shown this once."""
    if request.method != "POST":
        return _page(request)
    typed = request.POST.get("username", "")
    try:
        password = tuners.new_tuner(username=typed, salt=salt_of_page(request, request.user))
    except Refused as refused:
        return _page(request, refused=refused, typed=typed, status=CONFLICT)
    return _page(request, password=password, made="".join(typed.split()))


@lead_tuner
@require_POST
def switch_off(request: HttpRequest) -> HttpResponse:
    """Switch a tuner's sign-in off; open sessions end with it."""
    try:
        user = tuners.tuner_named(username=request.POST.get("username", ""))
        tuners.switch_off(user=user, by=request.user)
    except Refused as refused:
        return _page(request, refused=refused, status=CONFLICT)
    messages.success(request, f"{user.get_username()} cannot sign in any more.")
    return redirect("desk-people")


def everybody() -> list[Person]:
    """Return the tuners, those who can sign in first."""
    users = list(get_user_model().objects.filter(is_staff=True).order_by("-is_active", "username")[:SHOWN])
    factors = set(SecondFactor.objects.filter(user__in=users, confirmed_at__isnull=False).values_list(
        "user", flat=True))
    leading = tuners.leading(users=users)
    held = dict(Case.objects.filter(holder__in=users, held_until__gte=timezone.now()).order_by().values_list(
        "holder").annotate(Count("pk")))
    return [Person(user, user.pk in leading, user.pk in factors, held.get(user.pk, 0)) for user in users]


def _page(request: HttpRequest, status: int = 200, **more: object) -> HttpResponse:
    return render(request, "reports/desk/people.html", {"people": everybody(), **more}, status=status)
