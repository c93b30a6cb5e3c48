"""System checks: each fault has an id and says what to do."""
import pytest
from django.db import connections
from django.db.backends.sqlite3.base import DatabaseWrapper

from deploy import checks
from deploy.data import SAFE_WAL, sqlite_pragmas


def test_work_is_never_handed_out_again_before_its_time_is_over(settings):
    assert checks.redelivery_outlasts_the_time_limit(None) == []
    settings.CELERY_BROKER_TRANSPORT_OPTIONS = {"visibility_timeout": settings.CELERY_TASK_TIME_LIMIT}
    (fault,) = checks.redelivery_outlasts_the_time_limit(None)
    assert fault.id == "farbench.E001" and "visibility_timeout" in fault.hint


@pytest.mark.parametrize("version, mode", [
    ((3, 40, 1), "DELETE"), ((3, 51, 2), "DELETE"), (SAFE_WAL, "WAL"), ((3, 52, 0), "WAL"),
])
def test_an_old_sqlite_keeps_its_old_journal(version, mode):
    assert f"journal_mode={mode}" in sqlite_pragmas(version)
    assert ("synchronous=EXTRA" in sqlite_pragmas(version)) == (mode == "DELETE")


@pytest.fixture
def database(tmp_path):
    made = []

    def make(pragmas):
        wanted = connections["default"].settings_dict | {
            "NAME": str(tmp_path / "some.sqlite3"), "OPTIONS": {"init_command": pragmas}, "TIME_ZONE": None}
        made.append(DatabaseWrapper(wanted, alias="some"))
        made[-1].inc_thread_sharing()
        return made[-1]

    yield make
    for one in made:
        one.close()


@pytest.mark.parametrize("version", [(3, 40, 1), SAFE_WAL])
@pytest.mark.django_db(databases=[])
def test_what_is_deleted_is_gone_from_sqlites_file_too(database, django_db_blocker, tmp_path, version):
    with django_db_blocker.unblock():
        kept = database(sqlite_pragmas(version))
        with kept.cursor() as cursor:
            cursor.execute("CREATE TABLE notes (words TEXT)")
            cursor.execute("INSERT INTO notes VALUES (%s)", ["Quillfeather " * 2000])
            cursor.execute("DELETE FROM notes")
        kept.close()
    assert b"Quillfeather" not in (tmp_path / "some.sqlite3").read_bytes()


@pytest.mark.django_db(databases=[])
def test_an_old_sqlite_in_an_unsafe_mode_is_found(database, django_db_blocker):
    old = (3, 40, 1)
    with django_db_blocker.unblock():
        assert checks.unsafe_mode(database(sqlite_pragmas(old)), old) == ""
        assert "synchronous=1" in checks.unsafe_mode(database("PRAGMA synchronous=NORMAL"), old)
        wal = database(sqlite_pragmas(SAFE_WAL))
        assert "journal_mode=wal" in checks.unsafe_mode(wal, old)
        assert checks.unsafe_mode(wal, SAFE_WAL) == ""


def test_the_fault_says_what_to_do(monkeypatch):
    monkeypatch.setattr(checks, "unsafe_mode", lambda database: "journal_mode=wal, synchronous=1")
    (fault,) = checks.sqlite_is_safe_with_several_processes(None, ["default"])
    assert fault.id == "farbench.E002" and "journal_mode=DELETE" in fault.hint


def test_debug_at_a_public_address_is_an_error(settings):
    settings.SITE_URL, settings.DEBUG = "https://bench.example.org", True
    (fault,) = checks.debug_stays_at_home(None)
    assert fault.id == "farbench.E003"
    settings.DEBUG = False
    assert checks.debug_stays_at_home(None) == []


def test_a_public_installation_is_told_what_it_lacks(settings):
    settings.SITE_URL = "http://bench.example.org"
    settings.EMAIL_BACKEND = "django.core.mail.backends.filebased.EmailBackend"
    found = checks.public_installations_have_a_relay_and_a_name(None)
    assert {fault.id for fault in found} == {"farbench.W001", "farbench.W002"}
    settings.SITE_URL = "https://bench.example.org"
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    assert checks.public_installations_have_a_relay_and_a_name(None) == []
