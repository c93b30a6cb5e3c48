"""Make a sign-in for somebody of a shop, or switch one off.

    manage.py shop-user "Shop by the river" anna           prints the password, once
    manage.py shop-user "Shop by the river" anna --end     switches it off
"""
from __future__ import annotations

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from intake import services
from intake.errors import Refused


class Command(BaseCommand):
    """Sign-ins of shops."""

    help = "Make a sign-in for a shop and print its password once; --end switches it off."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Add the shop, the name and what to do with it."""
        parser.add_argument("shop", help="the shop's name; it is made where it is new")
        parser.add_argument("username")
        parser.add_argument("--end", action="store_true", help="switch the sign-in off")

    def handle(self, *args: Any, **options: Any) -> None:
        """Do it, or say what is wrong."""
        try:
            shop = services.named_shop(shop_name=options["shop"])
            if options["end"]:
                services.end_shop_user(shop=shop, username=options["username"])
            else:
                self.stdout.write(services.new_shop_user(shop=shop, username=options["username"]))
        except Refused as refused:
            raise CommandError(str(refused)) from None
