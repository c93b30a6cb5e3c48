"""``manage.py shop-token "Workshop by the river"``: make a shop and a token for it, shown once."""
from __future__ import annotations

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from intake.errors import Refused
from intake.services.shops import new_shop_token, revoke_shop_token


class Command(BaseCommand):
    """Makes or revokes a shop's token."""

    help = "Make a shop (if it is new) and a token for its API calls; the token is printed once and stored as a hash."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Name the shop, the token and what it may do."""
        parser.add_argument("shop", help="the shop's name")
        parser.add_argument("--name", default="first", help="what to call the token: the system that uses it")
        parser.add_argument("--scope", default="hand in", choices=["read", "hand in"], help="what it may do")
        parser.add_argument("--email", default="", help="the shop's address, for a new shop")
        parser.add_argument("--revoke", action="store_true", help="revoke the token of this name instead")

    def handle(self, *args: Any, **options: Any) -> None:
        """Print the token, and how to send it."""
        try:
            if options["revoke"]:
                revoke_shop_token(shop_name=options["shop"], name=options["name"])
                self.stdout.write(f"Revoked: token '{options['name']}' of {options['shop']}.")
                return
            token = new_shop_token(
                shop_name=options["shop"], name=options["name"], scope=options["scope"], email=options["email"])
        except Refused as refusal:
            raise CommandError(str(refusal)) from None
        self.stdout.write(token)
        self.stderr.write("Keep it now: it cannot be shown again. Send it as 'Authorization: Token …'.")
