"""Who is signed in, asked anew with each request: the user and the second factor in one question."""
from __future__ import annotations

from django.contrib.auth import get_user_model
from django.contrib.auth.backends import ModelBackend
from django.contrib.auth.base_user import AbstractBaseUser


class SignInBackend(ModelBackend):
    """Django's own, but for the question that every look at the desk would else ask twice."""

    def get_user(self, user_id: int) -> AbstractBaseUser | None:
        """Return the user with the second factor beside; None for one that is switched off or gone."""
        user = get_user_model().objects.select_related("second_factor").filter(pk=user_id).first()
        return user if user is not None and self.user_can_authenticate(user) else None
