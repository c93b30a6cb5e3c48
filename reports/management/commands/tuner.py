"""Make a sign-in for a tuner, or look after one.

    manage.py tuner anna                          prints the password, once; the first tuner leads
    manage.py tuner anna --lead                   gives the lead, to a new tuner or to one who is there
    manage.py tuner anna --reset-second-factor    phone and recovery codes are lost
    manage.py tuner anna --end                    switches the sign-in off
"""
from __future__ import annotations

from argparse import ArgumentParser
from typing import Any

from django.contrib.auth import get_user_model
from django.core.management.base import BaseCommand, CommandError

from intake.errors import Refused
from reports import services
from reports.services import tuners


class Command(BaseCommand):
    """Sign-ins of tuners."""

    help = "Make a sign-in for a tuner and print its password once; or give the lead, reset the second factor, end it."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Add the name and what to do with it."""
        parser.add_argument("username")
        parser.add_argument("--lead", action="store_true", help="give the lead")
        parser.add_argument("--reset-second-factor", action="store_true", help="take the second factor away")
        parser.add_argument("--end", action="store_true", help="switch the sign-in off")

    def handle(self, *args: Any, **options: Any) -> None:
        """Do it, or say what is wrong."""
        try:
            self._do(options)
        except Refused as refused:
            raise CommandError(str(refused)) from None

    def _do(self, options: dict[str, Any]) -> None:
        name, later = options["username"], options["reset_second_factor"] or options["end"]
        if not later and not get_user_model().objects.filter(username=name, is_staff=True).exists():
            self.stdout.write(tuners.new_tuner(username=name, lead=options["lead"]))
            return
        user = tuners.tuner_named(username=name)
        if not later and not options["lead"]:
            raise Refused(f"There is a tuner '{name}' already.", "A new password: manage.py changepassword NAME.")
        if options["lead"]:
            tuners.make_lead(user=user)
        if options["reset_second_factor"]:
            services.forget_factor(user=user)
        if options["end"]:
            tuners.switch_off(user=user)
        self.stdout.write("Done.")
