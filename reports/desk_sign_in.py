"""Who may sit at the desk: active staff users, and nobody else."""
from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from functools import wraps
from typing import Any

from django.contrib.auth.base_user import AbstractBaseUser
from django.contrib.auth.decorators import user_passes_test
from django.contrib.auth.forms import AuthenticationForm
from django.contrib.auth.signals import user_logged_in
from django.core.exceptions import ValidationError
from django.dispatch import receiver
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import override
from django.views.decorators.cache import never_cache

from intake.reads import note_answer
from reports.desk_held import not_into_held
from reports.second_step import go_through
from reports.services.base_rates import may_decide

View = Callable[..., HttpResponse]
FORBIDDEN = 403
STAY = timedelta(days=14)
"""A tuner signs in again after this; a rider's browser stays in for longer."""


@receiver(user_logged_in)
def stay_for_a_while(request: HttpRequest, **kwargs: Any) -> None:
    """Give a sign-in its own, shorter time."""
    request.session.set_expiry(STAY)


class TunerSignIn(AuthenticationForm):
    """The sign-in form; a sign-in that is not a tuner's is told so instead of being sent in circles."""

    error_messages = {
        "invalid_login": "That name and password do not fit together. Capitals count in both.",
        "inactive": "This sign-in has been switched off. Ask whoever runs this installation.",
    }

    def confirm_login_allowed(self, user: AbstractBaseUser) -> None:
        super().confirm_login_allowed(user)
        if not user.is_staff:
            raise ValidationError("This sign-in is not a tuner's. Riders come in by the private link in their mail.")


def tuner(view: View) -> View:
    """Let only tuners in, and into a case that a colleague holds only knowingly (``desk_held``)."""
    return signed_in(not_into_held(view))


def lead_tuner(view: View) -> View:
    """Let only whoever leads the tuners in; where nobody was given the lead, every tuner."""

    @wraps(view)
    def leading(request: HttpRequest, *args: Any, **named: Any) -> HttpResponse:
        if not may_decide(request.user):
            return render(request, "reports/desk/not_lead.html", status=FORBIDDEN)
        return view(request, *args, **named)

    return tuner(leading)


def signed_in(view: View) -> View:
    """Let only tuners in; anyone else is asked to sign in.  Nothing of the desk stays behind in a browser's store."""
    only_tuners = user_passes_test(lambda user: user.is_active and user.is_staff, login_url="sign-in")
    inside = only_tuners(view)

    @wraps(view)
    def door(request: HttpRequest, *args: Any, **named: Any) -> HttpResponse:
        if getattr(request, "half_signed", None):
            return go_through(request)
        answer = inside(request, *args, **named)
        note_answer(request, answer, named, user_id=request.user.pk)
        return answer

    return never_cache(override("en")(door))  # the desk speaks English, whatever the browser asks for
