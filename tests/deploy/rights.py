"""Who may what: one row for every address of the URL configuration.

``DOOR`` says who comes in; the rest follows from it and is tested cell by cell
(``test_every_address_for_every_role.py``):

    open      everybody
    step      the sign-in itself: whoever is in already, or not there yet, is sent on
    rider     whoever has entered this very case by its private link; for anybody else it does not exist
    desk      every tuner, every case; anybody else is asked to sign in
    lead      the lead tuner; other tuners are told so
    counter   people who sign in for a shop, its own cases alone; anybody else is asked to sign in
    token     a shop's program with its token, its own cases alone; without a token 401

After the name come the methods that are answered, HEAD and OPTIONS aside; any other is 405.  ``part``: the address
names something inside a case or a list (a letter, a photo) that is not there in the test: whoever comes in finds 404.
"""
from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Row:
    """One address."""

    name: str
    door: str
    methods: tuple[str, ...]
    part: bool


def rows(door: str, lines: str) -> list[Row]:
    """Read the rows of one door."""
    return [Row(name, door, tuple(more.lower() for more in rest if more != "part"), "part" in rest)
            for name, *rest in (line.split() for line in lines.strip().splitlines())]


TABLE = [
    *rows("open", """
        health                   GET POST PUT DELETE
        sign-in                  GET POST PUT
        shop-sign-in             GET POST PUT
        api-schema               GET
        api-docs                 GET
        no-more-reminders        GET POST part
        home                     GET
        case-start               GET POST
        language                 POST
        ask-link                 GET POST
        open-link                GET POST
        offline-worker           GET
        sign-out                 POST
        shop-sign-out            POST
    """),
    *rows("step", """
        second-step              GET POST
    """),
    *rows("desk", """
        second-factor            GET POST
    """),
    *rows("desk", """
        queue                    GET
        take-next                POST
        queue-filters            GET
        ticked                   POST
        own-words                GET POST
        own-words-change         POST part
        own-words-delete         POST part
        own-views                GET POST
        own-view-rename          POST part
        own-view-delete          POST part
        desk-shops               GET POST
        desk-shop-end            POST
        desk-hook-again          POST part
        shelf                    GET
        shelf-new                GET POST
        shelf-import             GET POST
        shelf-csv                GET
        shelf-sheet              GET POST part
        shelf-retire             POST part
        shelf-version            GET part
        learning                 GET
        reliability-figure       GET
        outcomes-csv             GET
        outcomes-json            GET
        base-rates               GET
        desk-case                GET
        desk-trail               GET
        take-case                POST
        give-back                POST
        hand-over                GET POST
        work-again               POST
        try-numbers              GET POST part
        try-answer               GET part
        put-numbers              POST part
        judge                    POST part
        judgement-take-back      POST
        case-sheets              GET
        case-sheet-link          POST part
        case-sheet-unlink        POST part
        fee-quote                POST
        fee-move                 POST
        ask                      GET POST
        next-round               POST
        close-case               GET POST
        figure                   GET part
        letter-edit              GET POST part
        letter-preview           GET POST part
        letter-versions          GET part
        letter-insert            POST part
        take-number              POST part
        take-all-numbers         POST part
        keep-number              POST part
        letter-settle            POST part
        letter-replace           POST part
        service-sheet            GET part
        letter-approve           POST part
        letter-unapprove         POST part
        letter-send              POST part
        letter-new-draft         POST part
        letter-keep-words        POST part
        travel-logs              GET POST
        travel-log               GET POST part
        travel-log-file          GET part
        travel-log-remove        POST part
        delivery-back            POST part
        delivery-now             POST part
        delivery-arrived         POST part
        delivery-again           POST part
    """),
    *rows("lead", """
        count-rates              POST
        take-back-rates          POST
        desk-people              GET POST
        desk-people-end          POST
    """),
    *rows("counter", """
        shop-queue               GET
        shop-new                 GET POST
        shop-case                GET
        shop-answers             GET POST
        shop-photo-add           POST
        shop-photo               GET part
        shop-next-round          POST
        shop-sheet-pdf           GET part
        shop-letter-pdf          GET part
        shop-tables              GET POST
        shop-table-empty         GET
        shop-table               GET part
        shop-table-confirm       POST part
        shop-hooks               GET POST
        shop-hook-end            POST part
        shop-hook-try            POST part
        shop-hook-again          POST part
        shop-tokens              GET POST
        shop-token-renew         POST part
        shop-token-revoke        POST part
    """),
    *rows("token", """
        api-cases                GET POST
        api-case                 GET
        api-case-document        PUT
        api-hand-in              POST
        api-rounds               GET POST
        api-round                GET part
        api-photos               GET POST
        api-photo                GET DELETE part
        api-tables               GET POST
        api-table                GET part
        api-table-confirm        POST part
        api-tokens               GET
        api-token-rotate         POST
        api-token                DELETE part
        api-hooks                GET POST
        api-hook                 DELETE part
        api-hook-try             POST part
        api-hook-messages        GET
        api-hook-again           POST part
        api-findings             GET part
        api-letter               GET part
        api-letter-pdf           GET part
        api-service-sheet        GET part
        api-service-sheet-pdf    GET part
    """),
    *rows("rider", """
        letter                   GET part
        letter-pdf               GET part
        bench-sheet              GET POST
        before-and-after         GET part
        take-along               GET
        erase                    GET POST
        reminders                POST
        case-page                GET
        show-link                GET POST
        contact                  GET POST
        earlier                  GET POST
        changes                  GET POST
        check                    GET
        hand-in                  POST
        received                 GET
        rider-next-round         POST
        withdraw                 GET POST
        section                  GET POST
        bench-test               GET POST part
        kept                     GET
        kept-section             POST
        kept-test                POST part
        photo-begin              POST
        photo-upload             GET DELETE part
        photo-give-up            POST part
        photo                    GET part
        photo-remove             POST part
    """),
]
