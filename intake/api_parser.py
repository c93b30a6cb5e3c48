"""Reading a request's JSON: at most so large, so deep and only what JSON is."""
from __future__ import annotations

from collections.abc import Mapping
from typing import IO, Any

from rest_framework.exceptions import APIException, ParseError
from rest_framework.parsers import BaseParser
from rest_framework.request import Request

from analysis.document import CaseFaults, read_json
from intake import photos

MOST_BYTES = 1_000_000


class TooLarge(APIException):
    """The body is larger than any case document."""

    status_code = 413
    default_detail = ("The request is larger than 1 MB. Send the case document alone; each photo goes to the case's "
                      "own address for photos.")
    default_code = "too_large"


class WholeBody(BaseParser):
    """A body that is taken as it comes, up to a size."""

    most_bytes = MOST_BYTES
    too_large = "The body is too large."

    def parse(
        self, stream: IO[bytes], media_type: str | None = None, parser_context: Mapping[str, Any] | None = None,
    ) -> bytes:
        """Return the body's bytes."""
        body = stream.read(self.most_bytes + 1)
        if len(body) > self.most_bytes:
            raise TooLarge(self.too_large)
        return body


def body_of(request: Request) -> bytes:
    """Return what came through a ``WholeBody`` parser.  Raises ``ParseError`` where nothing came."""
    if not isinstance(request.data, bytes) or not request.data:
        raise ParseError("The request has no body.")
    return request.data


class PictureParser(WholeBody):
    """One photo."""

    media_type = "image/*"
    most_bytes = photos.MOST_BYTES
    too_large = "The photo is larger than 25 MB. Send it smaller."


class TableParser(WholeBody):
    """A table of jobs."""

    media_type = "text/csv"
    too_large = "The table is larger than 1 MB. Send it in parts."


class CaseFileParser(BaseParser):
    """JSON with limits; the framework's own parser reads a body of any size."""

    media_type = "application/json"

    def parse(
        self, stream: IO[bytes], media_type: str | None = None, parser_context: Mapping[str, Any] | None = None,
    ) -> Any:
        """Return the body's value, or say where the JSON goes wrong."""
        body = stream.read(MOST_BYTES + 1)
        if len(body) > MOST_BYTES:
            raise TooLarge
        try:
            return read_json(body)
        except CaseFaults as faults:
            fault = faults.faults[0]
            raise ParseError(f"The request cannot be read: {fault.problem}. {fault.mend}") from None
