"""What an installation at a public address switches on, and what it must not switch off for itself."""
from __future__ import annotations

import json
import logging
import logging.config
import os
import subprocess
import sys
from datetime import timedelta
from pathlib import Path

import pytest
from django.conf import settings as now
from django.test import RequestFactory

from deploy.client_address import client_address
from intake.links import LIFETIME

BASE = Path(__file__).resolve().parents[2]
ASK = ("import json, sys; from deploy import settings; "
       "print(json.dumps({name: getattr(settings, name, None) for name in sys.argv[1:]}))")


def settings_with(folder: Path, *names: str, **environment: str) -> dict:
    kept = {name: value for name, value in os.environ.items() if name not in ("SITE_URL", "ALLOWED_HOSTS")}
    answer = subprocess.run([sys.executable, "-c", ASK, *names], cwd=BASE, check=True, capture_output=True, text=True,
                            env=kept | {"FARBENCH_DATA": str(folder)} | environment)
    return json.loads(answer.stdout)


def test_https_switches_on_all_that_goes_with_it(tmp_path):
    names = ("SESSION_COOKIE_SECURE", "CSRF_COOKIE_SECURE", "SECURE_SSL_REDIRECT", "SECURE_HSTS_SECONDS",
             "AXES_CLIENT_IP_CALLABLE", "ALLOWED_HOSTS")
    found = settings_with(tmp_path, *names, SITE_URL="https://bench.example.org")
    assert all(found.values()) and "bench.example.org" in found["ALLOWED_HOSTS"]
    plain = settings_with(tmp_path, *names, SITE_URL="http://localhost:8000")
    assert not any(plain[name] for name in names[:-1])


def test_the_launcher_can_ask_after_the_pages_whatever_hosts_are_allowed(tmp_path):
    found = settings_with(tmp_path, "ALLOWED_HOSTS", ALLOWED_HOSTS="192.0.2.10")
    assert {"192.0.2.10", "localhost", "127.0.0.1"} <= set(found["ALLOWED_HOSTS"])


def test_a_riders_browser_stays_in_as_long_as_the_link():
    assert timedelta(seconds=now.SESSION_COOKIE_AGE) == LIFETIME


@pytest.mark.parametrize("forwarded, address", [
    ("192.0.2.7", "192.0.2.7"), ("made up, 192.0.2.7", "192.0.2.7"), ("2001:db8::7", "2001:db8::7"),
    ("nonsense", "127.0.0.1"), ("", "127.0.0.1")])
def test_behind_the_proxy_the_address_is_the_one_that_the_proxy_saw(forwarded, address):
    assert client_address(RequestFactory().get("/", headers={"x-forwarded-for": forwarded})) == address


def test_no_private_link_stands_in_a_log(capsys):
    logging.config.dictConfig(now.LOGGING | {"root": {}, "loggers": {"deploy.test": {"handlers": ["console"]}}})
    logging.getLogger("deploy.test").warning("Forbidden (%s): %s", "no cookie", "/link/abcDEF-_123456789012345678/")
    said = capsys.readouterr().err
    assert "Forbidden (no cookie): /link/" in said and "abcDEF" not in said
