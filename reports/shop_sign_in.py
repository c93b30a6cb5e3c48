"""Who may come in at the shop's counter: people who sign in for one shop, and see its cases alone."""
from __future__ import annotations

from collections.abc import Callable
from functools import wraps

from django.contrib.auth.base_user import AbstractBaseUser
from django.contrib.auth.forms import AuthenticationForm
from django.contrib.auth.views import redirect_to_login
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.utils.translation import override
from django.views.decorators.cache import never_cache

from intake import services
from intake.reads import note_answer

View = Callable[..., HttpResponse]


class ShopSignIn(AuthenticationForm):
    """The sign-in form; a sign-in that belongs to no shop is told so instead of being sent in circles."""

    error_messages = {
        "invalid_login": "That name and password do not fit together. Capitals count in both.",
        "inactive": "This sign-in has been switched off. Ask the tuner.",
    }

    def confirm_login_allowed(self, user: AbstractBaseUser) -> None:
        super().confirm_login_allowed(user)
        if services.shop_of(user=user) is None:
            raise ValidationError("This sign-in belongs to no shop. Tuners sign in at the desk.")


def at_the_counter(view: View) -> View:
    """Let only a shop's people in; ``request.shop`` is theirs.  Nothing stays behind in a browser's store."""

    @wraps(view)
    def inside(request: HttpRequest, **named: object) -> HttpResponse:
        shop = services.shop_of(user=request.user)
        if shop is None:
            return redirect_to_login(request.get_full_path(), "shop-sign-in")
        request.shop = shop
        request.who = f"shop: {shop}, {request.user.get_username()}"
        answer = view(request, **named)
        note_answer(request, answer, named, user_id=request.user.pk)
        return answer

    return never_cache(override("en")(inside))  # the counter speaks English, as the desk does
