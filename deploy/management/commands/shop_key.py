"""``manage.py shop_key NAME``: give a shop a key to the API."""
from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand, CommandParser

from deploy.doors import new_key


class Command(BaseCommand):
    help = "Make a new API key for a shop (and the shop, where there is none of that name). It is shown once."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("name", help="the shop's name")

    def handle(self, *args: Any, **options: Any) -> None:
        self.stdout.write(new_key(options["name"], "made by command"))
