"""Look whether the trail of who read and changed what is as it was sealed.

    manage.py audit --check                   walks the chain; says where it was broken
    manage.py audit --check --known HASH      and whether a hash that was kept elsewhere is still in it
"""
from __future__ import annotations

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from intake.models import Seal
from intake.sealing import broken_links, erased_rows, newest_hash


class Command(BaseCommand):
    """The chain of seals."""

    help = "Walk the chain of seals over diary and reads, and say exactly where it was broken."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Add what can be asked."""
        parser.add_argument("--check", action="store_true", help="walk the chain (also without this)")
        parser.add_argument("--known", metavar="HASH", help="a newest hash that was kept elsewhere")

    def handle(self, *args: Any, **options: Any) -> None:
        """Say every fault, and end with 1 where there is one."""
        faults = list(broken_links())
        if options["known"] and not Seal.objects.filter(hash=options["known"]).exists():
            faults.append(f"No seal has the hash {options['known']}: the chain was cut off or made anew.")
        for fault in faults:
            self.stdout.write(fault)
        if faults:
            raise CommandError(f"The trail is not as it was sealed: {len(faults)} faults.")
        self.stdout.write(f"{Seal.objects.count()} seals, all whole.")
        self.stdout.write(f"Rows that went with erased cases: {erased_rows()}.")
        self.stdout.write(f"Newest hash, to keep elsewhere: {newest_hash() or 'none yet'}")
