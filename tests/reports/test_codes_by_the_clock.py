"""Codes that change with the clock are those of RFC 6238."""
from __future__ import annotations

import base64

import pytest

from reports.totp import STEP, code_at, key_address, key_text, step_of

SECRET = b"12345678901234567890"
# RFC 6238, appendix B, the rows for SHA1: seconds since 1970 and the code of eight digits.  Kind: published standard.
PUBLISHED = [(59, "94287082"), (1111111109, "07081804"), (1111111111, "14050471"), (1234567890, "89005924"),
             (2000000000, "69279037"), (20000000000, "65353130")]


@pytest.mark.parametrize("seconds, code", PUBLISHED)
def test_codes_are_the_published_ones(seconds, code):
    assert code_at(SECRET, seconds // STEP, digits=8) == code and code_at(SECRET, seconds // STEP) == code[-6:]


def test_a_clock_may_be_one_step_off_and_no_more():
    now = 1234567890
    found = {apart: step_of(code_at(SECRET, now // STEP + apart), SECRET, now) for apart in range(-2, 3)}
    assert found == {-2: None, -1: now // STEP - 1, 0: now // STEP, 1: now // STEP + 1, 2: None}


@pytest.mark.parametrize("typed", ["", "12345", "१२३४५६", "\x00", "000000000000"])
def test_what_is_no_code_fits_nothing(typed):
    assert step_of(typed, SECRET, 59) is None


def test_the_key_as_text_is_the_secret_in_base_32_and_the_qr_code_holds_the_same():
    assert base64.b32decode(key_text(SECRET).replace(" ", "")) == SECRET
    address = key_address(SECRET, "ann & co")
    assert key_text(SECRET).replace(" ", "") in address and " " not in address
